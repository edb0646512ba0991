#include "io/report_source.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <functional>
#include <iterator>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "io/h5_file.hpp"
#include "io/outcome_names.hpp"
#include "io/result_fronts.hpp"
#include "io/result_reader.hpp"
#include "io/seal.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr double to_mm = 1e3;
/// Values of all fields at all steps together; beyond it steps are left out, so that a page of a
/// large frame still opens quickly and fits into a letter.
constexpr std::size_t most_values = 7'000'000;
constexpr std::size_t most_summary = 64U << 20U;  // [bytes]

/// The file with what stands in it and the sentences about what does not.
struct Source {
  const H5File& file;
  ReportRun& run;
  std::size_t n_nodes = 0, n_triangles = 0;

  /// Does `work`; when the file fails it there, says that `what` is missing.
  bool attempt(const std::string& what, const std::function<void()>& work) {
    try {
      work();
      return true;
    } catch (const Error&) {
      run.missing.push_back(what);
      return false;
    }
  }
  std::size_t add(ReportBlock block) {
    run.blocks.push_back(std::move(block));
    return run.blocks.size() - 1;
  }
};

void check_indices(std::span<const std::int32_t> values, std::size_t n, std::int32_t lowest = 0) {
  for (const std::int32_t value : values)
    if (value < lowest || (value >= 0 && static_cast<std::size_t>(value) >= n))
      throw Error("an index of the result points outside its list");
}

/// Every stride-th pair's member `column` of an array of rows.
std::vector<double> column_of(const std::vector<double>& rows, std::size_t columns,
                              std::size_t column) {
  std::vector<double> out;
  for (std::size_t i = column; i < rows.size(); i += columns) out.push_back(rows[i]);
  return out;
}

void read_case(Source& s) {
  ReportRun& run = s.run;
  const auto text = [&](const char* name, std::string& to, const char* what) {
    s.attempt(what, [&] { to = s.file.read_text(name); });
  };
  text("/case/title", run.title, "The title of the case is missing.");
  text("/case/version", run.version, "The version of the program that made it is missing.");
  text("/case/fingerprint", run.fingerprint, "The fingerprint of the case is missing.");
  text("/case/resolved", run.resolved_text, "The case with its settings is missing.");
  if (s.file.has("/case/material"))
    text("/case/material", run.material_text, "The material card is damaged.");
}

void read_names(Source& s) {
  ReportRun& run = s.run;
  const auto regions = s.file.read_texts("/model/region_name");
  const auto roles = s.file.read_texts("/model/region_role", regions.size());
  const auto visible = s.file.read_int32("/model/region_visible", 1, regions.size());
  for (std::size_t i = 0; i < regions.size(); ++i)
    run.regions.push_back(
        {regions[i], role_from_name(roles[i]).value_or(Role::part), visible[i] != 0});
  const auto channels = s.file.read_texts("/model/channel_name");
  const auto uses = s.file.read_texts("/model/channel_role", channels.size());
  const auto feeds = s.file.read_int32("/model/channel_feeds", 1, channels.size());
  check_indices(feeds, regions.size(), -1);
  for (std::size_t i = 0; i < channels.size(); ++i)
    run.channels.push_back({channels[i], role_from_name(uses[i]).value_or(Role::runner), feeds[i]});
}

void read_triangles(Source& s, std::vector<std::pair<std::string, std::size_t>>& mesh) {
  const std::vector<double> points = s.file.read("/model/points", 2);
  const std::vector<double> nodes = s.file.read("/model/node_position", 3);
  const auto triangles = s.file.read_int32("/model/triangles", 3);
  s.n_nodes = nodes.size() / 3;
  s.n_triangles = triangles.size() / 3;
  check_indices(triangles, points.size() / 2);
  const auto region = s.file.read_int32("/model/triangle_region", 1, s.n_triangles);
  check_indices(region, s.run.regions.size());
  const auto node = s.file.read_int32("/model/node_of_vertex", 1, points.size() / 2);
  check_indices(node, s.n_nodes);
  mesh.emplace_back("points_x", s.add(rounded_block(column_of(points, 2, 0), to_mm)));
  mesh.emplace_back("points_y", s.add(rounded_block(column_of(points, 2, 1), to_mm)));
  mesh.emplace_back("triangles", s.add(index_block(triangles)));
  mesh.emplace_back("region", s.add(index_block(region)));
  mesh.emplace_back("node_of_vertex", s.add(index_block(node)));
  mesh.emplace_back("node_x", s.add(rounded_block(column_of(nodes, 3, 0), to_mm)));
  mesh.emplace_back("node_y", s.add(rounded_block(column_of(nodes, 3, 1), to_mm)));
}

void read_channels(Source& s, std::vector<std::pair<std::string, std::size_t>>& mesh) {
  const auto from = s.file.read_int32("/model/line_from");
  const auto to = s.file.read_int32("/model/line_to", 1, from.size());
  const auto channel = s.file.read_int32("/model/line_channel", 1, from.size());
  check_indices(from, s.n_nodes);
  check_indices(to, s.n_nodes);
  check_indices(channel, s.run.channels.size());
  mesh.emplace_back("line_from", s.add(index_block(from)));
  mesh.emplace_back("line_to", s.add(index_block(to)));
  mesh.emplace_back("line_channel", s.add(index_block(channel)));
  for (const char* name : {"line_start_width", "line_end_width"})
    mesh.emplace_back(
        name,
        s.add(rounded_block(s.file.read(std::string("/model/") + name, 1, from.size()), to_mm)));
}

void read_model(Source& s) {
  std::vector<std::pair<std::string, std::size_t>> mesh;
  const bool whole = s.attempt("The mesh is missing or damaged, so no picture can be drawn.", [&] {
    read_names(s);
    read_triangles(s, mesh);
  });
  if (!whole) return;
  s.attempt("The runners are missing or damaged.", [&] {
    auto with_channels = mesh;
    read_channels(s, with_channels);
    mesh = std::move(with_channels);
  });
  s.run.mesh = std::move(mesh);
}

/// Every step, or as many as fit, always with the first and the last.
std::vector<StepRecord> thinned(const std::vector<StepRecord>& all, std::size_t most) {
  if (all.size() <= std::max<std::size_t>(most, 2)) return all;
  std::vector<StepRecord> out;
  const std::size_t n = std::max<std::size_t>(most, 2);
  for (std::size_t i = 0; i < n; ++i) out.push_back(all[i * (all.size() - 1) / (n - 1)]);
  return out;
}

/// Adds one array of a field to the run; says nothing when it is no field over nodes or triangles.
void add_field_values(Source& s, ReportField& field, const std::string& name) {
  const std::vector<double> values = s.file.read(name);
  const bool per_triangle = values.size() == s.n_triangles && values.size() != s.n_nodes;
  if (!per_triangle && values.size() != s.n_nodes) throw Error(name + " is no field");
  ReportBlock block = rounded_block(values, field.shown.factor, field.shown.offset);
  const bool any =
      std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
  const bool begun = field.high > field.low;
  if (any) {
    field.low = begun ? std::min(field.low, block.low) : block.low;
    field.high = begun ? std::max(field.high, block.high) : block.high;
  }
  field.per_triangle = per_triangle;
  field.blocks.push_back(s.add(std::move(block)));
}

/// A field of the kept steps.
void read_step_field(Source& s, const std::string& key) {
  const auto group = [&](const StepRecord& step) { return step_group(step.number).append(key); };
  ReportField field;
  field.shown = shown_field(key, s.file.units(group(s.run.steps.back())));
  if (field.shown.at_end_only) {
    add_field_values(s, field, group(s.run.steps.back()));
  } else {
    for (const StepRecord& step : s.run.steps) add_field_values(s, field, group(step));
  }
  s.run.fields.push_back(std::move(field));
}

void read_step_fields(Source& s) {
  if (!s.attempt("The kept steps are damaged.", [&] {
        if (s.file.has("/steps")) s.run.steps = read_steps(s.file);
      }))
    return;
  if (s.run.steps.empty()) {
    s.run.missing.emplace_back("No step has been kept yet, so there are no fields to show.");
    return;
  }
  const auto names = s.file.members(step_group(s.run.steps.back().number));
  const std::size_t all = s.run.steps.size();
  s.run.steps = thinned(s.run.steps, most_values / std::max<std::size_t>(1, 8 * s.n_nodes));
  if (s.run.steps.size() < all)
    s.run.missing.push_back(
        fmt::format("Of {} kept steps, {} are in this page, so that it stays small; all are in the "
                    "result file.",
                    all, s.run.steps.size()));
  for (const std::string& key : names) {
    static const std::vector<std::string> scalars{
        "step",      "time", "injected",        "injection_pressure",
        "flow_rate", "fill", "filled_fraction", "opening_force"};
    if (std::find(scalars.begin(), scalars.end(), key) != scalars.end()) continue;
    s.attempt(fmt::format("The field {} is missing in some steps or damaged.", key),
              [&] { read_step_field(s, key); });
  }
}

/// Arrays over nodes or triangles that lie anywhere else: what later stages found.
void read_other_fields(Source& s) {
  for (const std::string group :
       {"/model", "/result/fields", "/hold", "/cool", "/result/hold", "/result/cool"}) {
    if (!s.file.has(group)) continue;
    const std::vector<std::string> keys =
        group == "/model" ? std::vector<std::string>{"thickness"} : s.file.members(group);
    for (const std::string& key : keys) {
      try {
        const std::string name = fmt::format("{}/{}", group, key);
        ReportField field;
        field.shown = shown_field(key, s.file.units(name));
        add_field_values(s, field, name);
        s.run.fields.push_back(std::move(field));
      } catch (const Error&) {  // a number or a list of something else
      }
    }
  }
}

void read_history(Source& s) {
  if (!s.file.has("/history")) {
    s.run.missing.emplace_back("The record over time is not there yet: the run has only begun.");
    return;
  }
  s.attempt("The record over time is damaged.", [&] {
    const auto time = s.file.read("/history/time");
    const auto column = [&](const char* name) {
      return s.file.read(std::string("/history/") + name, 1, time.size());
    };
    const auto filled = column("filled_fraction"), flow = column("flow_rate"),
               pressure = column("injection_pressure"), force = column("opening_force");
    for (std::size_t i = 0; i < time.size(); ++i)
      s.run.history.push_back({time[i], filled[i], flow[i], pressure[i], force[i]});
  });
}

void read_outcome(Source& s) {
  if (!s.file.has("/result")) {
    s.run.missing.emplace_back(
        "The run has not ended: verdict, parts, gates, air and weld lines are not there yet.");
    return;
  }
  s.attempt("The summary is damaged.",
            [&] { s.run.summary = s.file.read_text("/result/summary"); });
  s.attempt("How the run ended is not readable.", [&] {
    s.run.finished = s.file.read_text("/result/outcome") != outcome_name(Outcome::interrupted);
  });
}

void check_version(Source& s) {
  s.attempt("The version of the file is not readable; what follows may be wrong.", [&] {
    const std::int64_t version = s.file.integer_attribute("format_version");
    if (version != result_format_version)
      s.run.missing.push_back(fmt::format(
          "The file has format version {}, this program knows version {}: what it does not know is "
          "missing here, and what changed its meaning may be wrong.",
          version, result_format_version));
  });
}

void read_all(const fs::path& path, ReportRun& run) {
  check_seal(path);
  const H5File file = H5File::open(path);
  Source source{file, run};
  if (file.attribute("format") != result_format)
    throw Error("\"" + path.string() + "\" is no result of firstshot");
  check_version(source);
  read_case(source);
  read_model(source);
  read_history(source);
  if (!run.mesh.empty()) {
    read_step_fields(source);
    read_other_fields(source);
    std::stable_sort(
        run.fields.begin(), run.fields.end(),
        [](const ReportField& a, const ReportField& b) { return a.shown.rank < b.shown.rank; });
  }
  if (file.has("/result/weld_lines"))
    source.attempt("The weld lines are damaged.", [&] { run.weld_lines = read_weld_lines(file); });
  read_outcome(source);
}

/// Text of a file, or nothing.
std::optional<std::string> text_of(const fs::path& path) {
  std::error_code error;
  const std::uintmax_t size = fs::file_size(path, error);
  if (error || size > most_summary) return std::nullopt;
  std::ifstream in(path, std::ios::binary);
  if (!in) return std::nullopt;
  return std::string(std::istreambuf_iterator<char>(in), {});
}

}  // namespace

ReportRun read_report_run(const fs::path& place) {
  const fs::path path = fs::is_directory(place) ? place / "result.h5" : place;
  const fs::path folder = fs::absolute(path).lexically_normal().parent_path();
  ReportRun run;
  try {
    read_all(path, run);
  } catch (const Error& error) {
    const auto summary = text_of(folder / "summary.json");
    if (!summary || !fs::exists(path)) throw;
    run = {};
    run.summary = *summary;
    run.missing.emplace_back(
        "result.h5 is damaged or was changed after it was written, so pictures, curves and "
        "settings "
        "are missing; the numbers come from summary.json beside it.");
  }
  run.name = folder.filename().string();
  return run;
}

}  // namespace firstshot
