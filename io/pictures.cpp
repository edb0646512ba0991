#include "io/pictures.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <system_error>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/picture_sheet.hpp"
#include "io/result_fronts.hpp"
#include "io/result_reader.hpp"
#include "mesh/error.hpp"
#include "mesh/section.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

/// Fields that are shown at the step of the highest pressure; the others at the last step.
constexpr std::array<const char*, 5> while_filling{"pressure", "temperature_mean",
                                                   "temperature_core", "solid_share", "shear_rate"};

void add_channel(DrawnFrame& frame, const Model& model, const LineElement& line) {
  const Point3 &a = model.position[line.from], &b = model.position[line.to];
  Point from{a.x, a.y}, to{b.x, b.y};
  double start = width(line.start) / 2, end = width(line.end) / 2;
  const double length = std::hypot(to.x - from.x, to.y - from.y), wide = std::max(start, end);
  Point along{1.0, 0.0};
  if (length < 0.04 * wide) {  // it stands up: a square
    from.x -= wide;
    to.x += wide;
    start = end = wide;
  } else {
    along = {(to.x - from.x) / length, (to.y - from.y) / length};
  }
  const auto corner = [&](const Point& p, double side, NodeId node) {
    return DrawnFrame::Corner{{p.x - along.y * side, p.y + along.x * side}, index(node)};
  };
  const auto q0 = corner(from, start, line.from), q1 = corner(from, -start, line.from),
             q2 = corner(to, end, line.to), q3 = corner(to, -end, line.to);
  frame.triangles.push_back({q0, q1, q2});
  frame.triangles.push_back({q2, q1, q3});
}

/// Sides that only one triangle of a region has.
std::vector<std::array<Point, 2>> outlines_of(const Model& model) {
  std::map<std::array<std::int32_t, 3>, int> seen;
  const auto key = [](VertexId a, VertexId b, std::int32_t region) {
    const auto first = static_cast<std::int32_t>(a), second = static_cast<std::int32_t>(b);
    return std::array{std::min(first, second), std::max(first, second), region};
  };
  const auto sides = [&](auto&& f) {
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
      const TriId id = make_id<TriId>(t);
      const Triangle& corners = model.mesh.triangles[id];
      for (std::size_t k = 0; k < 3; ++k)
        f(corners[k], corners[(k + 1) % 3], model.mesh.region[id]);
    }
  };
  sides([&](VertexId a, VertexId b, std::int32_t region) { ++seen[key(a, b, region)]; });
  std::vector<std::array<Point, 2>> out;
  sides([&](VertexId a, VertexId b, std::int32_t region) {
    if (seen[key(a, b, region)] == 1) out.push_back({model.mesh.points[a], model.mesh.points[b]});
  });
  return out;
}

DrawnFrame frame_of(const Model& model) {
  DrawnFrame out;
  for (const Triangle& corners : model.mesh.triangles.span()) {
    std::array<DrawnFrame::Corner, 3> triangle;
    for (std::size_t k = 0; k < 3; ++k)
      triangle[k] = {model.mesh.points[corners[k]], index(model.node_of_vertex[corners[k]])};
    out.triangles.push_back(triangle);
  }
  for (const LineElement& line : model.lines.span()) add_channel(out, model, line);
  out.outlines = outlines_of(model);
  return out;
}

/// A tenth of the range, rounded to 1, 2 or 5.
double line_step(const std::vector<double>& values) {
  double high = 0.0;
  for (const double v : values)
    if (std::isfinite(v)) high = std::max(high, v);
  if (high <= 0.0) return 0.0;
  const double rough = high / 10, power = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double f : {1.0, 2.0, 5.0})
    if (f * power >= rough) return f * power;
  return 10 * power;
}

/// What of summary.json goes onto a picture.
void add_air(DrawnField& field, const nlohmann::json& summary) {
  constexpr double mm = 1e-3;
  for (const auto& pocket : summary.value("air_pockets", nlohmann::json::array())) {
    PictureMark mark;
    if (pocket.value("may_scorch", false))
      mark.kind = PictureMark::Kind::scorch;
    else if (pocket.value("vented", false))
      mark.kind = PictureMark::Kind::got_out;
    mark.at = {pocket.value("x_mm", 0.0) * mm, pocket.value("y_mm", 0.0) * mm};
    field.marks.push_back(mark);
  }
}

struct Job {
  const ResultReader& reader;
  StoredCase stored;
  Model model;
  DrawnFrame frame;
  std::vector<StepRecord> steps;
  fs::path folder;
  std::string version;
  std::vector<fs::path> written;

  void write(const std::string& name, const DrawnField& field, const std::string& when) {
    const SheetText text{stored.title, field.shown.label + when,
                         fmt::format("firstshot {}   case {}   estimates, no release of a mould",
                                     version, stored.fingerprint)};
    write_sheet(folder / name, frame, field, text);
    for (const char* ending : {".png", ".pdf"}) written.push_back(folder / (name + ending));
  }

  /// One sheet for each field of a step that `wanted` names and that differs somewhere.
  template <class Wanted>
  void write_fields(const StepRecord& step, Wanted&& wanted) {
    const NodeFields fields = reader.fields(step.number);
    for_each_node_field(fields, [&](const char* name, const char* unit,
                                    const NodeField<double>& values) {
      DrawnField field;
      field.shown = shown_field(name, unit);
      if (field.shown.hidden || !wanted(std::string(name))) return;
      for (const double v : values.span())
        field.per_node.push_back(v * field.shown.factor + field.shown.offset);
      double low = 1e300, high = -1e300;
      for (const double v : field.per_node)
        if (std::isfinite(v)) {
          low = std::min(low, v);
          high = std::max(high, v);
        }
      if (!(high > low)) return;
      if (std::string(name) == "arrival_time") field.line_every = line_step(field.per_node);
      write(name, field, field.shown.at_end_only ? "" : fmt::format(", after {:.3g} s", step.time));
    });
  }

  void write_walls() {
    DrawnField field;
    field.shown = shown_field("thickness", "m");
    for (const double v : model.thickness.span())
      field.per_triangle.push_back(v * field.shown.factor);
    write("thickness", field, "");
  }
  void write_air_and_welds(const std::vector<WeldLine>& lines) {
    const std::string text = reader.summary();
    if (text.empty()) return;
    const auto summary = nlohmann::json::parse(text, nullptr, false);
    DrawnField field;
    field.shown = shown_field("arrival_time", "s");
    const NodeFields last = reader.fields(steps.back().number);
    field.per_node = last.arrival_time.vector();
    for (const WeldLine& line : lines) {
      PictureLine drawn{{}, line.kind == MeetingKind::meld};
      for (const MeetingPoint& m : line.points) drawn.points.push_back(m.at);
      field.lines.push_back(std::move(drawn));
    }
    if (summary.is_object()) add_air(field, summary);
    write("air_and_welds", field,
          ", with weld lines (dashed: meld lines), air that stayed (disc), got out (ring), may "
          "scorch (triangle)");
  }
};

}  // namespace

std::vector<fs::path> write_pictures(const fs::path& place, const fs::path& folder,
                                     const std::string& version) {
  const fs::path file = fs::is_directory(place) ? place / "result.h5" : place;
  const ResultReader reader(file);
  Job job{reader, reader.stored_case(), reader.model(), {}, reader.steps(), folder, version, {}};
  if (job.steps.empty())
    throw Error("\"" + file.string() + "\" holds no kept step yet, so there is nothing to draw");
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) throw Error("cannot make the folder \"" + folder.string() + "\": " + error.message());
  job.frame = frame_of(job.model);
  const StepRecord& highest = *std::max_element(
      job.steps.begin(), job.steps.end(),
      [](const auto& a, const auto& b) { return a.injection_pressure < b.injection_pressure; });
  const auto filling = [](const std::string& name) {
    return std::find(while_filling.begin(), while_filling.end(), name) != while_filling.end();
  };
  job.write_fields(highest, filling);
  job.write_fields(job.steps.back(), [&](const std::string& name) {
    return !filling(name) && name != "gas_pressure";  // of air that is gone by then
  });
  job.write_walls();
  const H5File h5 = H5File::open(file);
  job.write_air_and_welds(h5.has("/result/weld_lines") ? read_weld_lines(h5)
                                                       : std::vector<WeldLine>());
  return job.written;
}

}  // namespace firstshot
