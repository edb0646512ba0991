#include "io/result_reader.hpp"

#include <cmath>
#include <limits>
#include <utility>

#include "io/outcome_names.hpp"
#include "io/result_fronts.hpp"
#include "io/seal.hpp"
#include "io/section_columns.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

[[noreturn]] void reject(const H5File& file, const std::string& what) {
  throw Error("\"" + file.path().string() + "\" is damaged or not a result: " + what);
}

/// @throws Error unless lowest ≤ each value < n
void check_indices(const H5File& file, const std::string& name,
                   std::span<const std::int32_t> values, std::size_t n, std::int32_t lowest = 0) {
  for (const std::int32_t value : values)
    if (value < lowest || (value >= 0 && static_cast<std::size_t>(value) >= n))
      reject(file, name + " points outside its list");
}

H5File open_sealed(const std::filesystem::path& file) {
  check_seal(file);
  return H5File::open(file);
}

double never_if_nan(double time) { return std::isnan(time) ? -1.0 : time; }

void read_mesh(const H5File& file, Model& model) {
  const std::vector<double> points = file.read("/model/points", 2);
  for (std::size_t i = 0; i < points.size(); i += 2)
    model.mesh.points.push_back({points[i], points[i + 1]});
  const std::size_t n_vertices = model.mesh.points.size();

  const std::vector<std::int32_t> corners = file.read_int32("/model/triangles", 3);
  check_indices(file, "/model/triangles", corners, n_vertices);
  for (std::size_t i = 0; i < corners.size(); i += 3)
    model.mesh.triangles.push_back(
        {VertexId{corners[i]}, VertexId{corners[i + 1]}, VertexId{corners[i + 2]}});
  const std::size_t n = model.mesh.triangles.size();
  model.mesh.region = TriField<std::int32_t>(file.read_int32("/model/triangle_region", 1, n));
  model.thickness = TriField<double>(file.read("/model/thickness", 1, n));

  const std::vector<double> positions = file.read("/model/node_position", 3);
  for (std::size_t i = 0; i < positions.size(); i += 3)
    model.position.push_back({positions[i], positions[i + 1], positions[i + 2]});
  const std::vector<std::int32_t> nodes = file.read_int32("/model/node_of_vertex", 1, n_vertices);
  check_indices(file, "/model/node_of_vertex", nodes, model.n_nodes());
  for (const std::int32_t node : nodes) model.node_of_vertex.push_back(NodeId{node});
  const std::int64_t injection = file.read_integer("/model/injection_node");
  if (injection < 0 || static_cast<std::size_t>(injection) >= model.n_nodes())
    reject(file, "/model/injection_node points outside its list");
  model.injection = make_id<NodeId>(static_cast<std::size_t>(injection));

  const std::vector<std::int32_t> open = file.read_int32("/model/open_sides", 2);
  check_indices(file, "/model/open_sides", open, n_vertices);
  for (std::size_t i = 0; i < open.size(); i += 2)
    model.open_sides.push_back({VertexId{open[i]}, VertexId{open[i + 1]}});
}

/// As ResultFile writes them of a solid.
void read_surfaces(const H5File& file, Model& model) {
  if (!file.has("/model/relief_chord")) return;
  const std::size_t n = model.mesh.triangles.size(), n_vertices = model.mesh.points.size();
  const std::vector<double> slope = file.read("/model/slope", 2, n);
  const std::vector<double> chord = file.read("/model/relief_chord", 6, n);
  const std::vector<double> middle = file.read("/model/relief_middle", 6, n);
  for (std::size_t i = 0; i < n; ++i) {
    model.mesh.slope.push_back({slope[2 * i], slope[2 * i + 1]});
    Relief relief;
    for (std::size_t k = 0; k < 6; ++k) {
      relief.chord[k] = chord[6 * i + k];
      relief.middle[k] = middle[6 * i + k];
    }
    model.relief.push_back(relief);
  }
  model.lower = VertexField<double>(file.read("/model/lower_surface", 1, n_vertices));
  model.upper = VertexField<double>(file.read("/model/upper_surface", 1, n_vertices));
  model.entrance = TriField<double>(file.read("/model/entrance", 1, n));
}

Role read_role(const H5File& file, const std::string& name) {
  const std::optional<Role> role = role_from_name(name);
  if (!role) reject(file, "unknown role \"" + name + "\"");
  return *role;
}

void read_names(const H5File& file, Model& model) {
  const std::vector<std::string> regions = file.read_texts("/model/region_name");
  const std::vector<std::string> roles = file.read_texts("/model/region_role", regions.size());
  const auto visible = file.read_int32("/model/region_visible", 1, regions.size());
  for (std::size_t i = 0; i < regions.size(); ++i)
    model.regions.push_back({regions[i], read_role(file, roles[i]), visible[i] != 0});
  check_indices(file, "/model/triangle_region", model.mesh.region.span(), regions.size());

  const std::vector<std::string> channels = file.read_texts("/model/channel_name");
  const std::vector<std::string> uses = file.read_texts("/model/channel_role", channels.size());
  const auto feeds = file.read_int32("/model/channel_feeds", 1, channels.size());
  check_indices(file, "/model/channel_feeds", feeds, regions.size(), -1);
  for (std::size_t i = 0; i < channels.size(); ++i)
    model.channels.push_back({channels[i], read_role(file, uses[i]), feeds[i]});
}

std::vector<Section> read_sections(const H5File& file, const std::string& prefix, std::size_t n) {
  const SectionColumns columns{file.read_int32(prefix + "kind", 1, n),
                               file.read(prefix + "width", 1, n), file.read(prefix + "depth", 1, n),
                               file.read(prefix + "draft", 1, n)};
  std::vector<Section> out;
  for (std::size_t i = 0; i < n; ++i) {
    const std::optional<Section> section = section_from_columns(columns, i);
    if (!section) reject(file, prefix + "kind names no section");
    out.push_back(*section);
  }
  return out;
}

void read_lines(const H5File& file, Model& model) {
  const std::vector<std::int32_t> from = file.read_int32("/model/line_from");
  const std::size_t n = from.size();
  const auto to = file.read_int32("/model/line_to", 1, n);
  const auto channel = file.read_int32("/model/line_channel", 1, n);
  const auto length = file.read("/model/line_length", 1, n);
  const auto entrance = file.read("/model/line_entrance_radius", 1, n);
  check_indices(file, "/model/line_from", from, model.n_nodes());
  check_indices(file, "/model/line_to", to, model.n_nodes());
  check_indices(file, "/model/line_channel", channel, model.channels.size());
  const std::vector<Section> starts = read_sections(file, "/model/line_start_", n);
  const std::vector<Section> ends = read_sections(file, "/model/line_end_", n);
  for (std::size_t i = 0; i < n; ++i)
    model.lines.push_back(
        {NodeId{from[i]}, NodeId{to[i]}, length[i], starts[i], ends[i], channel[i], entrance[i]});
}

std::vector<PartResult> read_parts(const H5File& file) {
  const std::string group = "/result/parts/";
  const std::vector<std::string> names = file.read_texts(group + "name");
  const std::size_t n = names.size();
  const auto volume = file.read(group + "volume", 1, n);
  const auto mass = file.read(group + "mass", 1, n);
  const auto filled = file.read(group + "filled_fraction", 1, n);
  const auto first = file.read(group + "first_melt", 1, n);
  const auto full = file.read(group + "full", 1, n);
  const auto order = file.read_int32(group + "order", 1, n);
  std::vector<PartResult> out;
  for (std::size_t i = 0; i < n; ++i)
    out.push_back({names[i], volume[i], mass[i], filled[i], never_if_nan(first[i]),
                   never_if_nan(full[i]), order[i]});
  return out;
}

std::vector<GateResult> read_gates(const H5File& file) {
  const std::string group = "/result/gates/";
  const std::vector<std::string> names = file.read_texts(group + "name");
  const std::size_t n = names.size();
  const std::vector<std::string> parts = file.read_texts(group + "part", n);
  const auto width = file.read(group + "width", 1, n);
  const auto depth = file.read(group + "depth", 1, n);
  const auto length = file.read(group + "length", 1, n);
  const auto loss = file.read(group + "pressure_loss", 1, n);
  const auto shear = file.read(group + "peak_shear_rate", 1, n);
  const auto freeze = file.read(group + "freeze", 1, n);
  std::vector<GateResult> out;
  for (std::size_t i = 0; i < n; ++i)
    out.push_back({names[i], parts[i], width[i], depth[i], length[i], loss[i], shear[i],
                   never_if_nan(freeze[i])});
  return out;
}

}  // namespace

ResultReader::ResultReader(const std::filesystem::path& file) : file_(open_sealed(file)) {
  if (file_.attribute("format") != result_format) reject(file_, "its format is another one");
  const std::int64_t version = file_.integer_attribute("format_version");
  if (version != result_format_version)
    throw Error("\"" + file.string() + "\" has format version " + std::to_string(version) +
                ", this program reads version " + std::to_string(result_format_version));
  n_nodes_ = file_.read("/model/node_position", 3).size() / 3;
  n_triangles_ = file_.read("/model/thickness").size();
  n_lines_ = file_.read("/model/line_length").size();
}

StoredCase ResultReader::stored_case() const {
  return {file_.read_text("/case/title"),       file_.read_text("/case/resolved"),
          file_.read_text("/case/fingerprint"), file_.read_text("/case/model_fingerprint"),
          file_.read_text("/case/version"),     file_.read_scalar("/case/unit_length")};
}

Model ResultReader::model() const {
  Model out;
  read_mesh(file_, out);
  read_surfaces(file_, out);
  read_names(file_, out);
  read_lines(file_, out);
  return out;
}

std::vector<StepRecord> read_steps(const H5File& file) {
  const std::size_t n = file.members("/steps").size();
  std::vector<StepRecord> out;
  for (int number = 1; static_cast<std::size_t>(number) <= n; ++number) {
    const std::string group = step_group(number);
    out.push_back(
        {number, file.read_integer(group + "step"), file.read_scalar(group + "time"),
         file.read_scalar(group + "injected"), file.read_scalar(group + "injection_pressure"),
         file.read_scalar(group + "flow_rate"), file.read_scalar(group + "filled_fraction"),
         file.read_scalar(group + "opening_force")});
  }
  return out;
}

std::vector<StepRecord> ResultReader::steps() const { return read_steps(file_); }

NodeFields ResultReader::fields(int number) const {
  NodeFields out;
  for_each_node_field(out, [&](const char* name, const char*, NodeField<double>& field) {
    field = NodeField<double>(file_.read(step_group(number) + name, 1, n_nodes_));
  });
  return out;
}

std::vector<HistoryEntry> ResultReader::history() const {
  const std::vector<double> time = file_.read("/history/time");
  const std::size_t n = time.size();
  const auto filled = file_.read("/history/filled_fraction", 1, n);
  const auto flow = file_.read("/history/flow_rate", 1, n);
  const auto pressure = file_.read("/history/injection_pressure", 1, n);
  const auto force = file_.read("/history/opening_force", 1, n);
  std::vector<HistoryEntry> out;
  for (std::size_t i = 0; i < n; ++i)
    out.push_back({time[i], filled[i], flow[i], pressure[i], force[i]});
  return out;
}

std::optional<Restart> ResultReader::checkpoint() const {
  const std::string group = "/checkpoint/";
  if (!file_.has("/checkpoint")) return std::nullopt;
  Restart out;
  State& state = out.state;
  state.step = file_.read_integer(group + "step");
  const std::int64_t mode = file_.read_integer(group + "mode");
  if (mode < 0 || mode > static_cast<std::int64_t>(FillMode::done))
    reject(file_, "/checkpoint/mode is unknown");
  state.mode = static_cast<FillMode>(mode);
  const std::int64_t outcome = file_.read_integer(group + "outcome");
  if (outcome < 0 || outcome > static_cast<std::int64_t>(Outcome::interrupted))
    reject(file_, "/checkpoint/outcome is unknown");
  state.outcome = static_cast<Outcome>(outcome);
  const std::int64_t hold_mode = file_.read_integer(group + "hold_mode");
  if (hold_mode < 0 || hold_mode > static_cast<std::int64_t>(HoldMode::done))
    reject(file_, "/checkpoint/hold_mode is unknown");
  state.hold.mode = static_cast<HoldMode>(hold_mode);
  for_each_scalar(state, [&](const char* name, const char*, double& value) {
    value = file_.read_scalar(group + name);
  });
  for_each_array(state, [&](const char* name, const char*, std::vector<double>& values) {
    values = file_.read(group + name);
  });
  const auto expect = [&](const char* name, std::size_t size, std::size_t expected) {
    if (size != expected) reject(file_, group + name + " has the wrong size");
  };
  expect("fill", state.fill.size(), n_nodes_);
  expect("pressure", state.pressure.size(), n_nodes_);
  expect("peak_field", state.peak_field.size(), n_nodes_);
  expect("arrival", state.arrival.size(), n_nodes_);
  expect("full", state.full.size(), n_nodes_);
  for_each_front_array(state.front, [&](const char* name, const char*, const auto& values) {
    expect(name, values.size(), n_nodes_);
  });
  for (const double node : state.front.origin)
    if (!(node >= -1.0 && node < static_cast<double>(n_nodes_)))
      reject(file_, group + "front_origin names a node that is not there");
  expect("temperature",
         n_nodes_ == 0 ? state.temperature.size() : state.temperature.size() % n_nodes_, 0);
  expect("shear_rate", state.shear_rate.size(), n_nodes_);
  expect("gradient", state.gradient.size(), n_triangles_);
  expect("neutral", state.neutral.size(), n_triangles_);
  expect("fluidity", state.fluidity.size(), n_triangles_);
  expect("line_gradient", state.line_gradient.size(), n_lines_);
  expect("line_fluidity", state.line_fluidity.size(), n_lines_);
  const HoldState& hold = state.hold;
  const bool held = hold.mode != HoldMode::not_begun;
  expect("hold_begin_pressure", hold.begin.size(), held ? n_nodes_ : 0);
  for (const auto* field : {&hold.mass, &hold.solid, &hold.frozen, &hold.linear, &hold.freeze,
                            &hold.ejectable, &hold.zero, &hold.gas, &hold.hollow})
    expect("hold_…", field->size(), held || !field->empty() ? n_nodes_ : 0);
  for (const auto* list : {&hold.all_mass, &hold.part_mass, &hold.released_mass})
    expect("hold_…", list->size(), hold.time.size());
  out.history = history();
  return out;
}

std::optional<Result> ResultReader::result() const {
  if (!file_.has("/result")) return std::nullopt;
  Result out;
  const std::string outcome = file_.read_text("/result/outcome");
  const std::optional<Outcome> known = outcome_from_name(outcome);
  if (!known) reject(file_, "unknown outcome \"" + outcome + "\"");
  out.outcome = *known;
  out.cause = file_.read_text("/result/cause");
  out.parts = read_parts(file_);
  out.gates = read_gates(file_);
  out.weld_lines = read_weld_lines(file_);
  out.air_pockets = read_air_pockets(file_);
  out.scorch = read_scorch(file_);
  out.fill_time = never_if_nan(file_.read_scalar("/result/fill_time"));
  out.filled_fraction = file_.read_scalar("/result/filled_fraction");
  out.peak_pressure = file_.read_scalar("/result/peak_pressure");
  out.peak_opening_force = file_.read_scalar("/result/peak_opening_force");
  out.volume = file_.read_scalar("/result/volume");
  out.mass_error = file_.read_scalar("/result/mass_error");
  std::optional<Restart> end = checkpoint();
  if (!end) reject(file_, "/checkpoint is missing");
  out.state = std::move(end->state);
  out.history = std::move(end->history);
  return out;
}

std::string ResultReader::summary() const {
  return file_.has("/result/summary") ? file_.read_text("/result/summary") : std::string();
}

}  // namespace firstshot
