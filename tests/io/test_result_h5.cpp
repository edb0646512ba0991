#include <array>
#include <cmath>
#include <csignal>

#include <catch2/catch.hpp>
#include <hdf5.h>
#include <sys/wait.h>
#include <unistd.h>

#include "io/fingerprint.hpp"
#include "io/result_h5.hpp"
#include "io/result_reader.hpp"
#include "io/seal.hpp"
#include "tests/io/sample_run.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

void append(ResultFile& file, const Setup& setup, int number) {
  const State state = sample::state(setup, number);
  const std::vector<HistoryEntry> history = sample::history(number);
  file.append_step(step_record({setup, state, history, true}, number),
                   sample::fields(setup.model, number));
}

/// A finished file of three steps. @return its path
std::filesystem::path write_sample(const sample::TemporaryFolder& folder, const Setup& setup) {
  ResultFile file = ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  for (int number = 1; number <= 3; ++number) append(file, setup, number);
  file.write_result(sample::result(setup, 3, Outcome::pressure_limit), "{\"a\": 1}\n");
  return folder / "result.h5";
}

bool same(const std::vector<HistoryEntry>& a, const std::vector<HistoryEntry>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const auto& x, const auto& y) {
    return x.time == y.time && x.filled_fraction == y.filled_fraction &&
           x.flow_rate == y.flow_rate && x.injection_pressure == y.injection_pressure &&
           x.opening_force == y.opening_force;
  });
}

/// What a walk over all datasets of a file has found.
struct Walk {
  int datasets = 0, arrays = 0, groups = 0;
  std::vector<std::string> without_units, not_packed, with_times;
};
herr_t visit(hid_t file, const char* name, const H5O_info_t* info, void* data) {
  auto& walk = *static_cast<Walk*>(data);
  if (info->type == H5O_TYPE_GROUP) ++walk.groups;
  if (info->type != H5O_TYPE_DATASET) return 0;
  ++walk.datasets;
  const hid_t set = H5Dopen2(file, name, H5P_DEFAULT);
  if (H5Aexists(set, "units") <= 0) walk.without_units.emplace_back(name);
  const hid_t space = H5Dget_space(set), layout = H5Dget_create_plist(set);
  if (H5Sget_simple_extent_ndims(space) > 0 && H5Sget_simple_extent_npoints(space) > 0) {
    ++walk.arrays;
    unsigned level = 0;
    if (H5Pget_layout(layout) != H5D_CHUNKED || H5Pget_nfilters(layout) != 2 ||
        H5Pget_filter_by_id2(layout, H5Z_FILTER_SHUFFLE, nullptr, nullptr, nullptr, 0, nullptr,
                             nullptr) < 0)
      walk.not_packed.emplace_back(name);
    std::size_t n = 1;
    H5Pget_filter_by_id2(layout, H5Z_FILTER_DEFLATE, nullptr, &n, &level, 0, nullptr, nullptr);
    if (level != 4) walk.not_packed.emplace_back(name);
  }
  if (info->mtime != 0 || info->ctime != 0) walk.with_times.emplace_back(name);
  H5Pclose(layout);
  H5Sclose(space);
  H5Dclose(set);
  return 0;
}
Walk walk(const std::filesystem::path& path) {
  Walk out;
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  H5Ovisit(file, H5_INDEX_NAME, H5_ITER_INC, visit, &out);
  H5Fclose(file);
  return out;
}

}  // namespace

TEST_CASE("the case and the model come back bit for bit", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const bool with_channels = GENERATE(true, false);
  const Setup setup = sample::setup(with_channels);
  const ResultReader reader(write_sample(folder, setup));
  const StoredCase stored = reader.stored_case();
  CHECK(stored.title == sample::odd_name);
  CHECK(stored.resolved_text == sample::record().resolved_text);
  CHECK(stored.fingerprint == case_fingerprint(sample::record()));
  CHECK(stored.model_fingerprint == model_fingerprint(setup.model));
  CHECK(stored.version == "1.2.3");
  CHECK(stored.unit_length == 1e-3);
  const Model back = reader.model();
  CHECK(model_fingerprint(back) == model_fingerprint(setup.model));
  CHECK(back.mesh.points == setup.model.mesh.points);
  CHECK(back.mesh.triangles == setup.model.mesh.triangles);
  CHECK(back.thickness == setup.model.thickness);
  CHECK(back.node_of_vertex == setup.model.node_of_vertex);
  CHECK(back.open_sides == setup.model.open_sides);
  CHECK(back.regions.at(0).name == sample::odd_name);
  CHECK(back.regions.at(0).visible);
  REQUIRE(back.lines.size() == setup.model.lines.size());
  for (std::size_t i = 0; i < back.lines.size(); ++i) {
    const LineElement &a = back.lines[make_id<LineId>(i)],
                      &b = setup.model.lines[make_id<LineId>(i)];
    CHECK((a.from == b.from && a.to == b.to && a.start == b.start && a.end == b.end));
  }
}

TEST_CASE("the surfaces of a solid come back bit for bit, and count in its mark",
          "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  Setup setup = sample::setup(true);
  Model& model = setup.model;
  const std::string flat = model_fingerprint(model);
  const std::size_t n = model.mesh.triangles.size(), n_vertices = model.mesh.points.size();
  for (std::size_t i = 0; i < n; ++i) {
    const double x = 1e-3 * static_cast<double>(i + 1);
    model.mesh.slope.push_back({0.1 * x, -x / 3});
    model.relief.push_back({{x, 2 * x, 3 * x, 4 * x, 5 * x, x / 7}, {-x, x, 0, x, 2 * x, x / 3}});
    model.entrance.push_back(x / 9);
  }
  for (std::size_t i = 0; i < n_vertices; ++i) {
    model.lower.push_back(-1e-3 / static_cast<double>(i + 1));
    model.upper.push_back(1e-3 / static_cast<double>(i + 3));
  }
  const Model back = ResultReader(write_sample(folder, setup)).model();
  CHECK(back.mesh.slope == model.mesh.slope);
  CHECK(back.lower == model.lower);
  CHECK(back.upper == model.upper);
  CHECK(back.entrance == model.entrance);
  REQUIRE(back.relief.size() == n);
  for (std::size_t i = 0; i < n; ++i) {
    const auto t = make_id<TriId>(i);
    CHECK(back.relief[t].chord == model.relief[t].chord);
    CHECK(back.relief[t].middle == model.relief[t].middle);
  }
  CHECK(region_volumes(back) == region_volumes(model));
  CHECK(model_fingerprint(back) == model_fingerprint(model));
  CHECK(model_fingerprint(model) != flat);
}

TEST_CASE("a checkpoint comes back bit for bit", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup(GENERATE(true, false));
  ResultFile file = ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  CHECK_FALSE(ResultReader(folder / "result.h5").checkpoint());
  const State state = sample::state(setup, 7);
  file.write_checkpoint(state, sample::history(7));
  const std::optional<Restart> back = ResultReader(folder / "result.h5").checkpoint();
  REQUIRE(back);
  CHECK(back->state == state);
  CHECK(std::signbit(back->state.full.vector().front()));
  CHECK(same(back->history, sample::history(7)));
  CHECK_FALSE(ResultReader(folder / "result.h5").result());
}

TEST_CASE("kept steps come back with their numbers, fields as rounded to 32 bits",
          "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const ResultReader reader(write_sample(folder, setup));
  const std::vector<StepRecord> steps = reader.steps();
  REQUIRE(steps.size() == 3);
  for (int number = 1; number <= 3; ++number) {
    const State state = sample::state(setup, number);
    const StepRecord& step = steps[static_cast<std::size_t>(number - 1)];
    CHECK(step.number == number);
    CHECK((step.step == state.step && step.time == state.time && step.injected == state.injected));
    CHECK(step.injection_pressure == state.injection_pressure);
    CHECK(step.filled_fraction == sample::history(number).back().filled_fraction);
    CHECK(step.opening_force == sample::history(number).back().opening_force);
    NodeFields expected = sample::fields(setup.model, number);
    const NodeFields back = reader.fields(number);
    CHECK(std::isnan(back.arrival_time[NodeId{3}]));
    std::vector<const NodeField<double>*> list;
    for_each_node_field(
        back, [&](const char*, const char*, const auto& field) { list.push_back(&field); });
    std::size_t k = 0;
    for_each_node_field(expected, [&](const char* name, const char*, NodeField<double>& field) {
      INFO(name);
      for (double& value : field.span()) value = std::isnan(value) ? -1 : static_cast<float>(value);
      NodeField<double> read = *list[k++];
      for (double& value : read.span()) value = std::isnan(value) ? -1 : value;
      CHECK(read == field);
    });
  }
}

TEST_CASE("the result comes back, times that never came as -1", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const Result written = sample::result(setup, 3, Outcome::pressure_limit);
  const ResultReader reader(write_sample(folder, setup));
  const std::optional<Result> back = reader.result();
  REQUIRE(back);
  CHECK(back->outcome == Outcome::pressure_limit);
  CHECK(back->cause == written.cause);
  CHECK(back->state == written.state);
  CHECK(same(back->history, written.history));
  REQUIRE(back->parts.size() == 2);
  CHECK(back->parts[0].name == sample::odd_name);
  CHECK(back->parts[0].full == 0.25);
  CHECK(back->parts[1].full == -1.0);
  CHECK(back->parts[1].first_melt == -1.0);
  CHECK(back->parts[1].volume == written.parts[1].volume);
  REQUIRE(back->gates.size() == 1);
  CHECK(back->gates[0].peak_shear_rate == written.gates[0].peak_shear_rate);
  CHECK(back->fill_time == -1.0);
  CHECK(back->volume == written.volume);
  CHECK(reader.summary() == "{\"a\": 1}\n");
}

TEST_CASE("every dataset carries its units, every array is chunked, shuffled and deflated",
          "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Walk found = walk(write_sample(folder, sample::setup(GENERATE(true, false))));
  CHECK(found.datasets > 100);
  CHECK(found.arrays > 50);
  CHECK(found.without_units == std::vector<std::string>{});
  CHECK(found.not_packed == std::vector<std::string>{});
}

TEST_CASE("the same run gives the same bytes", "[io][result_h5]") {
  const sample::TemporaryFolder a, b;
  const Setup setup = sample::setup();
  const std::string first = sample::read_text(write_sample(a, setup));
  CHECK((first == sample::read_text(write_sample(b, setup))));  // bytes, not fit to print
  CHECK(walk(a / "result.h5").with_times ==
        std::vector<std::string>{});  // they change by the second
}

TEST_CASE("checkpoints replace each other without making the file grow", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  ResultFile file = ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  const State state = sample::state(setup, 7);
  file.write_checkpoint(state, sample::history(7));
  const auto size = std::filesystem::file_size(folder / "result.h5");
  for (int i = 0; i < 5; ++i) file.write_checkpoint(state, sample::history(7));
  CHECK(std::filesystem::file_size(folder / "result.h5") == size);
}

TEST_CASE("a file gone on with holds the old steps and the new ones", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const std::filesystem::path path = write_sample(folder, setup);
  {
    ResultFile file = ResultFile::resume(path);
    append(file, setup, 4);
    CHECK(ResultReader(path).steps().size() == 3);
    file.write_checkpoint(sample::state(setup, 4), sample::history(4));
  }
  const ResultReader reader(path);
  CHECK(reader.steps().size() == 4);
  CHECK(reader.steps()[0].time == sample::state(setup, 1).time);
  CHECK_FALSE(reader.result());
  CHECK(reader.checkpoint()->state == sample::state(setup, 4));
  CHECK_FALSE(std::filesystem::exists(path.string() + ".part"));
}

namespace {

/// Writes steps and checkpoints without end, as a process of its own; a byte goes into the pipe
/// after each.
pid_t start_writer(const std::filesystem::path& path, const Setup& setup, State state, int pipe) {
  const pid_t child = ::fork();
  if (child != 0) return child;
  try {
    ResultFile file = ResultFile::create(path, sample::record(), setup.model);
    for (int number = 1;; ++number) {
      append(file, setup, number);
      state.step = number;
      file.write_checkpoint(state, sample::history(number));
      if (::write(pipe, "x", 1) != 1) break;
    }
  } catch (...) {
  }
  ::_exit(1);
}

}  // namespace

TEST_CASE("a run killed at any moment leaves a file that reads as one moment", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const std::filesystem::path path = folder / "result.h5";
  State large = sample::state(setup, 1);
  large.flux.assign(50000, 0.0);  // so that most of the time goes into writing
  for (std::size_t i = 0; i < large.flux.size(); ++i)
    large.flux[i] = std::sin(static_cast<double>(i * i));
  { const ResultFile begun = ResultFile::create(path, sample::record(), setup.model); }
  for (int round = 0; round < 16; ++round) {
    std::array<int, 2> pipe{};
    REQUIRE(::pipe(pipe.data()) == 0);
    const pid_t child = start_writer(path, setup, large, pipe[1]);
    const int seen = round / 4;  // the first rounds are killed at the beginning
    char byte = 0;
    for (int i = 0; i < seen; ++i) REQUIRE(::read(pipe[0], &byte, 1) == 1);
    ::usleep(static_cast<useconds_t>(1000 + 2300 * round));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    for (const int end : pipe) ::close(end);
    const ResultReader reader(path);
    const std::size_t steps = reader.steps().size();
    CHECK((seen == 0 || steps >= static_cast<std::size_t>(seen)));
    for (std::size_t i = 1; i <= steps; ++i)
      CHECK(reader.fields(static_cast<int>(i)).fill.size() > 0);
    const std::optional<Restart> back = reader.checkpoint();
    CHECK((back ? static_cast<std::size_t>(back->state.step) : 0) == steps);
    if (back) CHECK(back->state.flux == large.flux);
  }
}

TEST_CASE("a full disk leaves the last whole file and one clear error", "[io][result_h5][limit]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const std::filesystem::path path = write_sample(folder, setup);
  const std::string before = sample::read_text(path);
  State large = sample::state(setup, 4);
  large.flux.assign(100000, 0.0);
  for (std::size_t i = 0; i < large.flux.size(); ++i)
    large.flux[i] = std::sin(static_cast<double>(i * i));
  std::string message;
  {
    ResultFile file = ResultFile::resume(path);
    const sample::FileSizeLimit limit(before.size() + 100000);
    message = error_of([&] { file.write_checkpoint(large, sample::history(4)); });
  }
  CHECK_THAT(message,
             Contains("cannot write") && Contains("result.h5\"") && Contains("File too large"));
  CHECK(sample::read_text(path) == before);
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("a disk that is full from the start leaves no file", "[io][result_h5][limit]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  std::string message;
  {
    const sample::FileSizeLimit limit(3000);
    message =
        error_of([&] { ResultFile::create(folder / "result.h5", sample::record(), setup.model); });
  }
  CHECK_THAT(message, Contains("cannot write") && Contains("result.h5\""));
  CHECK(std::filesystem::is_empty(folder.path()));
}

TEST_CASE("files of another format or version are refused", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const auto make = [&](const std::string& format, std::int64_t version) {
    H5File file = H5File::create(folder / "a.h5");
    file.set_attribute("format", format);
    file.set_attribute("format_version", version);
    file.close();
    add_seal(folder / "a.h5", "a.h5");
    return error_of([&] { ResultReader{folder / "a.h5"}; });
  };
  CHECK_THAT(make("something", 1), Contains("another"));
  CHECK_THAT(make(result_format, 2), Contains("format version 2") && Contains("version 1"));
  CHECK_THAT(make(result_format, 1), Contains("missing"));
}

TEST_CASE("a file with one changed byte is refused, to read and to go on with", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  const std::filesystem::path path = write_sample(folder, sample::setup());
  std::string bytes = sample::read_text(path);
  char& middle = bytes[bytes.size() / 2];
  middle = static_cast<char>(middle ^ 1);
  sample::write_text(path, bytes);
  CHECK_THAT(error_of([&] { ResultReader{path}; }), Contains("damaged or changed"));
  CHECK_THAT(error_of([&] { ResultFile::resume(path); }), Contains("damaged or changed"));
}

TEST_CASE("indices outside their lists are refused", "[io][result_h5]") {
  const sample::TemporaryFolder folder;
  Setup setup = sample::setup();
  setup.model.mesh.triangles[TriId{1}][2] = VertexId{99};
  ResultFile::create(folder / "result.h5", sample::record(), setup.model);
  CHECK_THAT(error_of([&] { ResultReader(folder / "result.h5").model(); }),
             Contains("/model/triangles points outside its list"));
}

TEST_CASE("the mark of a case changes with its text, its inputs and their borders",
          "[io][result_h5]") {
  const CaseRecord record = sample::record();
  CaseRecord other = record;
  other.inputs = {"unit = \"mm\"", "\n"};
  CHECK(case_fingerprint(other) != case_fingerprint(record));
  other = record;
  other.resolved_text += " ";
  CHECK(case_fingerprint(other) != case_fingerprint(record));
  Model model = sample::model();
  const std::string before = model_fingerprint(model);
  std::get<TrapezoidSection>(model.lines[LineId{1}].end).draft_deg += 1e-14;
  CHECK(model_fingerprint(model) != before);
}

TEST_CASE("the 64-bit FNV-1a hash of \"foobar\" is its authors' test value", "[io][result_h5]") {
  Fingerprint
      mark;  // [FowlerNollVo], list of test vectors of the reference code; from memory, unconfirmed
  mark.add_bytes("foobar", 6);
  CHECK(mark.hex() == "85944171f73967e8");
}
