#include "io/result_h5.hpp"

#include <cmath>
#include <cstdio>
#include <limits>
#include <span>
#include <system_error>
#include <utility>

#include "io/atomic_file.hpp"
#include "io/fingerprint.hpp"
#include "io/h5_file.hpp"
#include "io/outcome_names.hpp"
#include "io/result_fronts.hpp"
#include "io/seal.hpp"
#include "io/section_columns.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

/// A column of the file, made of one member of each entry.
template <class Entries, class Get>
auto column(const Entries& entries, Get&& get) {
  std::vector<std::decay_t<decltype(get(*std::begin(entries)))>> out;
  out.reserve(entries.size());
  for (const auto& entry : entries) out.push_back(get(entry));
  return out;
}

/// Times that never came are -1 in memory and NaN in the file.
double nan_if_never(double time) {
  return time < 0 ? std::numeric_limits<double>::quiet_NaN() : time;
}

void write_case(H5File& file, const CaseRecord& record, const Model& model) {
  file.set_attribute("format", result_format);
  file.set_attribute("format_version", static_cast<std::int64_t>(result_format_version));
  file.write_text("/case/title", record.title);
  file.write_text("/case/resolved", record.resolved_text);
  file.write_text("/case/material", record.material_text);
  file.write_text("/case/fingerprint", case_fingerprint(record));
  file.write_text("/case/model_fingerprint", model_fingerprint(model));
  file.write_text("/case/version", record.version);
  file.write_scalar("/case/unit_length", record.unit_length, "m");
}

void write_mesh(H5File& file, const Model& model) {
  std::vector<double> points;
  for (const Point& p : model.mesh.points.span()) points.insert(points.end(), {p.x, p.y});
  file.write("/model/points", points, "m", 2);
  std::vector<std::int32_t> corners;
  for (const Triangle& triangle : model.mesh.triangles.span())
    for (const VertexId v : triangle) corners.push_back(static_cast<std::int32_t>(v));
  file.write("/model/triangles", corners, "1", 3);
  file.write("/model/triangle_region", model.mesh.region.span(), "1");
  file.write("/model/thickness", model.thickness.span(), "m");
  file.write(
      "/model/node_of_vertex",
      column(model.node_of_vertex.span(), [](NodeId n) { return static_cast<std::int32_t>(n); }),
      "1");
  std::vector<double> positions;
  for (const Point3& p : model.position.span()) positions.insert(positions.end(), {p.x, p.y, p.z});
  file.write("/model/node_position", positions, "m", 3);
  file.write_scalar("/model/injection_node", static_cast<std::int64_t>(index(model.injection)),
                    "1");
  std::vector<std::int32_t> open;
  for (const auto& side : model.open_sides)
    for (const VertexId v : side) open.push_back(static_cast<std::int32_t>(v));
  file.write("/model/open_sides", open, "1", 2);
}

/// Both surfaces of a solid and what follows from them; a layout has none.
void write_surfaces(H5File& file, const Model& model) {
  if (model.relief.empty()) return;
  std::vector<double> slope, chord, middle;
  for (const Point& s : model.mesh.slope.span()) slope.insert(slope.end(), {s.x, s.y});
  for (const Relief& r : model.relief.span()) {
    chord.insert(chord.end(), r.chord.begin(), r.chord.end());
    middle.insert(middle.end(), r.middle.begin(), r.middle.end());
  }
  file.write("/model/slope", slope, "1", 2);
  file.write("/model/relief_chord", chord, "m", 6);
  file.write("/model/relief_middle", middle, "m", 6);
  file.write("/model/lower_surface", model.lower.span(), "m");
  file.write("/model/upper_surface", model.upper.span(), "m");
  file.write("/model/entrance", model.entrance.span(), "1");
}

void write_names(H5File& file, const Model& model) {
  file.write_texts("/model/region_name",
                   column(model.regions, [](const Region& r) { return r.name; }));
  file.write_texts("/model/region_role",
                   column(model.regions, [](const Region& r) { return role_name(r.role); }));
  file.write("/model/region_visible",
             column(model.regions, [](const Region& r) { return std::int32_t{r.visible}; }), "1");
  file.write_texts("/model/channel_name",
                   column(model.channels, [](const Channel& c) { return c.name; }));
  file.write_texts("/model/channel_role",
                   column(model.channels, [](const Channel& c) { return role_name(c.role); }));
  file.write("/model/channel_feeds",
             column(model.channels, [](const Channel& c) { return c.feeds; }), "1");
}

void write_lines(H5File& file, const Model& model) {
  const auto lines = model.lines.span();
  const auto number = [](NodeId n) { return static_cast<std::int32_t>(n); };
  file.write("/model/line_from",
             column(lines, [&](const LineElement& l) { return number(l.from); }), "1");
  file.write("/model/line_to", column(lines, [&](const LineElement& l) { return number(l.to); }),
             "1");
  file.write("/model/line_channel", column(lines, [](const LineElement& l) { return l.channel; }),
             "1");
  file.write("/model/line_length", column(lines, [](const LineElement& l) { return l.length; }),
             "m");
  file.write("/model/line_entrance_radius",
             column(lines, [](const LineElement& l) { return l.entrance_radius; }), "m");
  for (const bool at_start : {true, false}) {
    const std::string prefix = at_start ? "/model/line_start_" : "/model/line_end_";
    const auto section = [&](const LineElement& l) -> const Section& {
      return at_start ? l.start : l.end;
    };
    const SectionColumns columns = section_columns(model.lines, at_start);
    file.write(prefix + "kind", columns.kind, "1");
    file.write(prefix + "width", columns.width, "m");
    file.write(prefix + "depth", columns.depth, "m");
    file.write(prefix + "draft", columns.draft, "deg");
    file.write(prefix + "radius",
               column(lines, [&](const LineElement& l) { return equal_area_radius(section(l)); }),
               "m");
    file.write(prefix + "hydraulic_diameter",
               column(lines, [&](const LineElement& l) { return hydraulic_diameter(section(l)); }),
               "m");
  }
}

void write_history(H5File& file, const std::vector<HistoryEntry>& history) {
  using Entry = HistoryEntry;
  file.write("/history/time", column(history, [](const Entry& e) { return e.time; }), "s");
  file.write("/history/filled_fraction",
             column(history, [](const Entry& e) { return e.filled_fraction; }), "1");
  file.write("/history/flow_rate", column(history, [](const Entry& e) { return e.flow_rate; }),
             "m3/s");
  file.write("/history/injection_pressure",
             column(history, [](const Entry& e) { return e.injection_pressure; }), "Pa");
  file.write("/history/opening_force",
             column(history, [](const Entry& e) { return e.opening_force; }), "N");
}

void write_state(H5File& file, const State& state) {
  const std::string group = "/checkpoint/";
  file.write_scalar(group + "step", state.step, "1");
  file.write_scalar(group + "mode", static_cast<std::int64_t>(state.mode), "1");
  file.write_scalar(group + "outcome", static_cast<std::int64_t>(state.outcome), "1");
  file.write_scalar(group + "hold_mode", static_cast<std::int64_t>(state.hold.mode), "1");
  for_each_scalar(state, [&](const char* name, const char* unit, const double& value) {
    file.write_scalar(group + name, value, unit);
  });
  for_each_array(state, [&](const char* name, const char* unit, const std::vector<double>& values) {
    file.write(group + name, values, unit);
  });
}

void write_parts(H5File& file, const std::vector<PartResult>& parts) {
  using Part = PartResult;
  const std::string group = "/result/parts/";
  file.write_texts(group + "name", column(parts, [](const Part& p) { return p.name; }));
  file.write(group + "volume", column(parts, [](const Part& p) { return p.volume; }), "m3");
  file.write(group + "mass", column(parts, [](const Part& p) { return p.mass; }), "kg");
  file.write(group + "filled_fraction",
             column(parts, [](const Part& p) { return p.filled_fraction; }), "1");
  file.write(group + "first_melt",
             column(parts, [](const Part& p) { return nan_if_never(p.first_melt); }), "s");
  file.write(group + "full", column(parts, [](const Part& p) { return nan_if_never(p.full); }),
             "s");
  file.write(group + "order", column(parts, [](const Part& p) { return std::int32_t{p.order}; }),
             "1");
}

void write_gates(H5File& file, const std::vector<GateResult>& gates) {
  using Gate = GateResult;
  const std::string group = "/result/gates/";
  file.write_texts(group + "name", column(gates, [](const Gate& g) { return g.name; }));
  file.write_texts(group + "part", column(gates, [](const Gate& g) { return g.part; }));
  file.write(group + "width", column(gates, [](const Gate& g) { return g.width; }), "m");
  file.write(group + "depth", column(gates, [](const Gate& g) { return g.depth; }), "m");
  file.write(group + "length", column(gates, [](const Gate& g) { return g.length; }), "m");
  file.write(group + "pressure_loss", column(gates, [](const Gate& g) { return g.pressure_loss; }),
             "Pa");
  file.write(group + "peak_shear_rate",
             column(gates, [](const Gate& g) { return g.peak_shear_rate; }), "1/s");
  file.write(group + "freeze", column(gates, [](const Gate& g) { return nan_if_never(g.freeze); }),
             "s");
}

void write_verdict(H5File& file, const Verdict& verdict) {
  const std::string group = "/result/verdict/";
  const auto& all = verdict.findings;
  const auto or_nan = [](const std::optional<double>& value) {
    return value.value_or(std::numeric_limits<double>::quiet_NaN());
  };
  file.write_scalar(group + "approved", static_cast<std::int64_t>(verdict.approved), "1");
  file.write_texts(group + "rule", column(all, [](const Finding& f) { return f.rule; }));
  file.write_texts(group + "severity", column(all, [](const Finding& f) {
                     return std::string(severity_name(f.severity));
                   }));
  file.write_texts(group + "text", column(all, [](const Finding& f) { return f.text; }));
  file.write_texts(group + "source", column(all, [](const Finding& f) { return f.source; }));
  file.write_texts(group + "part", column(all, [](const Finding& f) { return f.part; }));
  file.write_texts(group + "unit", column(all, [](const Finding& f) { return f.unit; }));
  file.write(group + "value", column(all, [&](const Finding& f) { return or_nan(f.value); }), "1");
  file.write(group + "limit", column(all, [&](const Finding& f) { return or_nan(f.limit); }), "1");
}

void write_outcome(H5File& file, const Result& result, const std::string& summary) {
  file.write_text("/result/outcome", outcome_name(result.outcome));
  file.write_text("/result/cause", result.cause);
  file.write_text("/result/summary", summary);
  file.write_scalar("/result/fill_time", nan_if_never(result.fill_time), "s");
  file.write_scalar("/result/filled_fraction", result.filled_fraction, "1");
  file.write_scalar("/result/peak_pressure", result.peak_pressure, "Pa");
  file.write_scalar("/result/peak_opening_force", result.peak_opening_force, "N");
  file.write_scalar("/result/volume", result.volume, "m3");
  file.write_scalar("/result/mass_error", result.mass_error, "1");
  write_parts(file, result.parts);
  write_gates(file, result.gates);
  write_weld_lines(file, result.weld_lines);
  write_air_pockets(file, result.air_pockets);
  write_scorch(file, result.scorch);
  write_verdict(file, result.verdict);
}

}  // namespace

std::string case_fingerprint(const CaseRecord& record) {
  Fingerprint mark;
  mark.add(record.resolved_text);
  for (const std::string& text : record.inputs) mark.add(text);
  return mark.hex();
}

StepRecord step_record(const Snapshot& snapshot, int number) {
  const State& state = snapshot.state;
  StepRecord out{number,         state.step, state.time, state.injected, state.injection_pressure,
                 state.flow_rate};
  if (!snapshot.history.empty()) {
    out.filled_fraction = snapshot.history.back().filled_fraction;
    out.opening_force = snapshot.history.back().opening_force;
  }
  return out;
}

std::string step_group(int number) {
  char text[40];
  std::snprintf(text, sizeof text, "/steps/%06d/", number);
  return text;
}

ResultFile::ResultFile(std::filesystem::path file)
    : file_(std::move(file)), working_(file_.string() + ".part") {}

ResultFile::ResultFile(ResultFile&& other) noexcept
    : file_(std::exchange(other.file_, {})), working_(std::exchange(other.working_, {})) {}

ResultFile::~ResultFile() {
  std::error_code ignored;
  if (!working_.empty()) std::filesystem::remove(working_, ignored);
}

ResultFile ResultFile::create(const std::filesystem::path& file, const CaseRecord& record,
                              const Model& model) {
  ResultFile out(file);
  H5File working = H5File::create(out.working_, out.file_);
  write_case(working, record, model);
  write_mesh(working, model);
  write_surfaces(working, model);
  write_names(working, model);
  write_lines(working, model);
  working.make_group("/steps");
  working.close();
  out.publish([](H5File&) {});
  return out;
}

ResultFile ResultFile::resume(const std::filesystem::path& file) {
  ResultFile out(file);
  check_seal(file);
  const H5File old = H5File::open(file);
  H5File working = H5File::create(out.working_, out.file_);
  working.set_attribute("format", old.attribute("format"));
  working.set_attribute("format_version", old.integer_attribute("format_version"));
  for (const char* group : {"/case", "/model", "/steps"}) working.copy_from(old, group);
  working.close();
  return out;
}

void ResultFile::append_step(const StepRecord& record, const NodeFields& fields) {
  H5File working = H5File::open_to_append(working_, file_);
  const std::string group = step_group(record.number);
  working.write_scalar(group + "step", record.step, "1");
  working.write_scalar(group + "time", record.time, "s");
  working.write_scalar(group + "injected", record.injected, "m3");
  working.write_scalar(group + "injection_pressure", record.injection_pressure, "Pa");
  working.write_scalar(group + "flow_rate", record.flow_rate, "m3/s");
  working.write_scalar(group + "filled_fraction", record.filled_fraction, "1");
  working.write_scalar(group + "opening_force", record.opening_force, "N");
  for_each_node_field(fields,
                      [&](const char* name, const char* unit, const NodeField<double>& field) {
                        working.write_float32(group + name, field.span(), unit);
                      });
  working.close();
}

template <class AddRest>
void ResultFile::publish(AddRest&& add_rest) {
  const std::filesystem::path prepared = temporary_name(file_);
  try {
    copy_bytes(working_, prepared, file_);
    H5File copy = H5File::open_to_append(prepared, file_);
    add_rest(copy);
    copy.close();
    add_seal(prepared, file_);
  } catch (...) {
    std::error_code ignored;
    std::filesystem::remove(prepared, ignored);
    throw;
  }
  replace_atomically(prepared, file_);
}

void ResultFile::write_checkpoint(const State& state, const std::vector<HistoryEntry>& history) {
  publish([&](H5File& file) {
    write_history(file, history);
    write_state(file, state);
  });
}

void ResultFile::write_result(const Result& result, const std::string& summary) {
  publish([&](H5File& file) {
    write_history(file, result.history);
    write_state(file, result.state);
    write_outcome(file, result, summary);
  });
}

}  // namespace firstshot
