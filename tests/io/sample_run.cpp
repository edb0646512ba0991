#include "tests/io/sample_run.hpp"

#include <cmath>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <sstream>
#include <stdexcept>

#include <sys/resource.h>

namespace firstshot::sample {
namespace {

/// Same numbers on every machine, with all bits of the mantissa in use.
double noise(int step, std::size_t i, double scale) {
  return scale *
         (std::fmod(static_cast<double>(i + 1) * 0.6180339887498949 * (step + 1), 1.0) + 1.0 / 3);
}

template <class Values>
void fill_with_noise(Values& values, int step, double scale) {
  for (std::size_t i = 0; i < values.size(); ++i) values[i] = noise(step, i, scale);
}

void add_channels(Model& model) {
  model.channels = {
      {"sprue", Role::sprue, -1}, {"east", Role::runner, -1}, {odd_name, Role::gate, 0}};
  const NodeId nozzle{4}, foot{5}, middle{9}, end{6}, mouth{0};
  const TrapezoidSection wide{4e-3, 3e-3, 10.0}, narrow{3e-3, 2e-3, 10.0};
  const HalfRoundSection half{4e-3};
  const RectangleSection slot{1e-3, 6e-4};
  model.lines.push_back({nozzle, foot, 0.035, RoundSection{3e-3}, RoundSection{5e-3}, 0, 0.0});
  model.lines.push_back({foot, middle, 0.005, wide, narrow, 1, 1e-3});
  model.lines.push_back({middle, end, 0.003, half, half, 1, 0.0});
  model.lines.push_back({end, mouth, 0.002, slot, slot, 2, 4e-4});
}

}  // namespace

Model model(bool with_channels) {
  Model model;
  // A plate of 20 mm × 10 mm right of the injection point, with its gate's mouth on the left side,
  // and one of 10 mm × 10 mm on the left.
  for (const Point& p :
       {Point{0.010, -0.005}, Point{0.030, -0.005}, Point{0.030, 0.005}, Point{0.010, 0.005},
        Point{-0.020, -0.005}, Point{-0.010, -0.005}, Point{-0.010, 0.005}})
    model.mesh.points.push_back(p);
  const auto v = [](int i) { return VertexId{i}; };
  for (const Triangle& t :
       {Triangle{v(0), v(1), v(2)}, Triangle{v(0), v(2), v(3)}, Triangle{v(4), v(5), v(6)}})
    model.mesh.triangles.push_back(t);
  model.mesh.region = TriField<std::int32_t>({0, 0, 1});
  model.thickness = TriField<double>({1.2e-3, 1.1e-3, 2e-3 / 3});
  model.regions = {{odd_name, Role::part, true}, {"far", Role::part, false}};
  model.node_of_vertex = VertexField<NodeId>(
      {NodeId{0}, NodeId{1}, NodeId{2}, NodeId{0}, NodeId{3}, NodeId{7}, NodeId{8}});
  model.position = NodeField<Point3>({{0.010, 0, 0},
                                      {0.030, -0.005, 0},
                                      {0.030, 0.005, 0},
                                      {-0.020, -0.005, 0},
                                      {0, 0, 0.035},
                                      {0, 0, 0},
                                      {0.008, 0, 0},
                                      {-0.010, -0.005, 0},
                                      {-0.010, 0.005, 0},
                                      {0.005, 0, 0}});
  model.injection = NodeId{4};
  model.open_sides = {{v(0), v(3)}};
  if (with_channels) add_channels(model);
  return model;
}

Setup setup(bool with_channels) {
  Setup out;
  out.title = odd_name;
  out.model = model(with_channels);
  out.accuracy.layers = 3;
  out.material.density_melt = 1000.0;
  out.material.viscosity_band = 0.25;
  out.process.injection_pressure_max = 100e6;
  return out;
}

State state(const Setup& setup, int step) {
  State out;
  out.step = step;
  out.time = 0.01 * step;
  out.injected = noise(step, 1, 1e-6);
  out.displaced = noise(step, 2, 1e-6);
  out.injection_pressure = noise(step, 3, 1e7);
  out.flow_rate = noise(step, 4, 1e-5);
  out.peak_pressure = noise(step, 5, 1e7);
  out.last_dt = std::numeric_limits<double>::denorm_min();
  out.mode = FillMode::pressure_limit;
  const Model& m = setup.model;
  const std::size_t n = m.n_nodes();
  for (NodeField<double>* field :
       {&out.fill, &out.pressure, &out.peak_field, &out.arrival, &out.full, &out.shear_rate}) {
    *field = NodeField<double>(n);
    fill_with_noise(field->vector(), step, 1.0);
  }
  out.arrival.vector().back() = -1.0;
  out.full.vector().front() = -0.0;
  out.temperature.resize(n * static_cast<std::size_t>(setup.accuracy.layers));
  fill_with_noise(out.temperature, step, 400.0);
  for (TriField<double>* field : {&out.gradient, &out.neutral, &out.fluidity}) {
    *field = TriField<double>(m.mesh.triangles.size());
    fill_with_noise(field->vector(), step, 1e300);
  }
  for (LineField<double>* field : {&out.line_gradient, &out.line_fluidity}) {
    *field = LineField<double>(m.lines.size());
    fill_with_noise(field->vector(), step, 1e-300);
  }
  if (!m.channels.empty()) out.gate_pressure_loss = out.gate_shear_rate = {noise(step, 6, 1e6)};
  out.front = no_front(n);
  fill_with_noise(out.front.temperature, step, 400.0);
  for (std::size_t i = 1; i < n; ++i) out.front.origin[i] = static_cast<double>(i - 1);
  out.outcome = Outcome::air;
  out.hold.mode = HoldMode::released;
  for (NodeField<double>* field :
       {&out.hold.mass, &out.hold.begin, &out.hold.solid, &out.hold.frozen, &out.hold.linear,
        &out.hold.freeze, &out.hold.ejectable, &out.hold.zero, &out.hold.gas, &out.hold.hollow}) {
    *field = NodeField<double>(n);
    fill_with_noise(field->vector(), step, 1e6);
  }
  for (std::vector<double>* list :
       {&out.hold.time, &out.hold.all_mass, &out.hold.part_mass, &out.hold.released_mass}) {
    list->resize(7);
    fill_with_noise(*list, step, 1e-3);
  }
  out.hold.start = noise(step, 11, 1.0);
  out.flux.resize(20);
  fill_with_noise(out.flux, step, 1e-7);
  return out;
}

std::vector<HistoryEntry> history(int steps) {
  std::vector<HistoryEntry> out;
  for (int i = 1; i <= steps; ++i)
    out.push_back(
        {0.01 * i, noise(i, 7, 0.5), noise(i, 8, 1e-5), noise(i, 9, 1e7), noise(i, 10, 1e4)});
  return out;
}

NodeFields fields(const Model& model, int step) {
  NodeFields out;
  for_each_node_field(out, [&](const char*, const char*, NodeField<double>& field) {
    field = NodeField<double>(model.n_nodes());
    fill_with_noise(field.vector(), step, 300.0);
  });
  for (const int node : {3, 7, 8}) out.arrival_time[NodeId{node}] = std::nan("");
  return out;
}

Result result(const Setup& setup, int step, Outcome outcome) {
  Result out;
  out.outcome = outcome;
  out.cause = "the pressure limit of 100 MPa was reached";
  out.state = state(setup, step);
  out.history = history(step);
  out.parts = {{odd_name, 2.3e-7, 2.3e-4, 1.0, 0.02, 0.25, 1, 0.24},
               {"far", 1e-7 / 3, 1e-4 / 3, 0.25, -1.0, -1.0, 0}};
  if (!setup.model.channels.empty())
    out.gates = {{odd_name, odd_name, 1e-3, 6e-4, 2e-3, 5e6, 2e4, 1.5}};
  const auto cause = outcome == Outcome::pressure_limit ? ShortCause::pressure
                     : outcome == Outcome::frozen       ? ShortCause::freezing
                     : outcome == Outcome::air          ? ShortCause::air
                     : outcome == Outcome::time_limit   ? ShortCause::time
                                                        : ShortCause::interrupted;
  out.short_shots = {{"far", 0.25e-7, cause, {}, {}, {}}};
  out.filled_fraction = 0.9;
  out.peak_pressure = 90e6;
  out.peak_opening_force = 20e3;
  out.volume = 1e-6 / 3;
  out.mass_error = 1e-12;
  return out;
}

CaseRecord record() {
  return {odd_name,
          "title = '''" + odd_name + "'''\n[material]\ncard = \"hips-8\"\n",
          {"unit = \"mm\"\n"},
          "1.2.3",
          1e-3,
          "name = \"sample\"\n[viscosity.source]\nslope = '''" + odd_name + "'''\n"};
}

TemporaryFolder::TemporaryFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "firstshot-XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("cannot make " + name);
  path_ = name;
}
TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string read_text(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}
void write_text(const std::filesystem::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

FileSizeLimit::FileSizeLimit(unsigned long bytes) : handler_(std::signal(SIGXFSZ, SIG_IGN)) {
  rlimit limit{};
  ::getrlimit(RLIMIT_FSIZE, &limit);
  before_ = limit.rlim_cur;
  limit.rlim_cur = bytes;
  ::setrlimit(RLIMIT_FSIZE, &limit);
}
FileSizeLimit::~FileSizeLimit() {
  rlimit limit{};
  ::getrlimit(RLIMIT_FSIZE, &limit);
  limit.rlim_cur = before_;
  ::setrlimit(RLIMIT_FSIZE, &limit);
  std::signal(SIGXFSZ, handler_);
}

}  // namespace firstshot::sample
