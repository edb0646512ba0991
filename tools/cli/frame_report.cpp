#include "tools/cli/frame_report.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace firstshot {
namespace {

constexpr double mm = 1e-3, mm2 = 1e-6, mm3 = 1e-9, cm2 = 1e-4, cm3 = 1e-6, gram = 1e-3,
                 percent = 0.01;

/// Without the sign of a zero that the eye would see: -0.04 is shown as 0.0.
double tidy(double tenths) { return std::abs(tenths) < 0.05 ? 0.0 : tenths; }

std::string wall_text(const PartFigures& p) {
  if (p.thickness_max - p.thickness_min < 1e-3 * mm)
    return fmt::format("{:.2f}", p.thickness_max / mm);
  return fmt::format("{:.2f} to {:.2f}", p.thickness_min / mm, p.thickness_max / mm);
}

/// "4.00" for round sections, "5.00 x 4.00" for width and depth.
std::string size_text(const Section& s) {
  if (std::holds_alternative<RoundSection>(s) || std::holds_alternative<HalfRoundSection>(s))
    return fmt::format("{:.2f}", width(s) / mm);
  return fmt::format("{:.2f} x {:.2f}", width(s) / mm, depth(s) / mm);
}

double screw_area(const Press& press) {
  return std::numbers::pi / 4 * press.screw_diameter * press.screw_diameter;
}

/// Smallest number of elements across a gate's mouth, 0 when no gate opens on triangles.
int elements_across(const FrameFigures& f) {
  int least = 0;
  for (const ChannelFigures& c : f.channels)
    if (c.elements_across > 0 && (least == 0 || c.elements_across < least))
      least = c.elements_across;
  return least;
}

std::string mesh_text(const Setup& setup, const FrameFigures& f) {
  std::string text = fmt::format(
      "mesh       {} nodes, {} triangles, {} channel elements, {} layers per half gap ({})\n"
      "           smallest angle {:.1f} deg, edges {:.2f} to {:.2f} mm",
      setup.model.n_nodes(), setup.model.mesh.triangles.size(), setup.model.lines.size(),
      setup.accuracy.layers, setup.accuracy.level, f.mesh.min_angle_deg, f.mesh.min_edge / mm,
      f.mesh.max_edge / mm);
  if (const int least = elements_across(f); least > 0)
    text += fmt::format(", at least {} elements across the mouth of a gate", least);
  return text + "\n";
}

std::string part_table(const FrameFigures& f) {
  std::string text = fmt::format("{:<24}{:>14}{:>12}{:>13}{:>11}{:>9}{:>9}\n", "part", "wall mm",
                                 "area mm2", "volume mm3", "weight g", "x mm", "y mm");
  for (const PartFigures& p : f.parts)
    fmt::format_to(std::back_inserter(text),
                   "{:<24}{:>14}{:>12.1f}{:>13.1f}{:>11.3f}{:>9.1f}{:>9.1f}\n", p.name,
                   wall_text(p), p.area / mm2, p.volume / mm3, p.mass / gram, tidy(p.centre.x / mm),
                   tidy(p.centre.y / mm));
  return text;
}

std::string channel_table(const FrameFigures& f) {
  std::string text =
      fmt::format("{:<24}{:<8}{:<12}{:>13}{:>13}{:>11}{:>12}  {}\n", "channel", "role", "section",
                  "begin mm", "end mm", "length mm", "volume mm3", "feeds");
  for (const ChannelFigures& c : f.channels)
    fmt::format_to(std::back_inserter(text),
                   "{:<24}{:<8}{:<12}{:>13}{:>13}{:>11.1f}{:>12.1f}  {}\n", c.name,
                   role_name(c.role), kind_name(c.start), size_text(c.start), size_text(c.end),
                   c.length / mm, c.volume / mm3, c.feeds);
  return text;
}

/// Every gate with its size and the largest of the shop's cutters that passes through it.
std::string gate_table(const std::vector<GateSize>& gates) {
  std::string text = fmt::format("{:<24}{:>26}{:>11}{:>9}{:>9}  {}\n", "gate",
                                 "width x depth x length mm", "cutter mm", "x mm", "y mm", "feeds");
  for (const GateSize& g : gates) {
    const std::string size =
        fmt::format("{:.2f} x {:.2f} x {:.2f}", g.width / mm, g.depth / mm, g.length / mm);
    const std::string cutter = g.cutter > 0.0 ? fmt::format("{:.3g}", g.cutter / mm) : "none";
    fmt::format_to(std::back_inserter(text), "{:<24}{:>26}{:>11}{:>9.1f}{:>9.1f}  {}\n", g.name,
                   size, cutter, tidy(g.at.x / mm), tidy(g.at.y / mm), g.part);
  }
  return text;
}

std::string shot_text(const Setup& setup, const FrameFigures& f) {
  const double stroke = f.volume / screw_area(setup.press);
  return fmt::format(
      "shot       {:.2f} cm3, {:.2f} g of melt; runners, gates and sprue {:.0f} % of it\n"
      "           screw stroke {:.1f} mm of {:.0f} mm ({})\n"
      "weights    left {:.2f} g, right {:.2f} g; below {:.2f} g, above {:.2f} g of the injection "
      "point\n"
      "area       {:.1f} cm2 seen along the draw; each MPa of mean pressure on it opens with "
      "{:.1f} kN of {:.0f} kN\n",
      f.volume / cm3, f.mass / gram, f.runner_share / percent, stroke / mm,
      setup.press.stroke_max / mm, setup.press.name, f.mass_left / gram, f.mass_right / gram,
      f.mass_bottom / gram, f.mass_top / gram, f.projected_area / cm2, f.projected_area * 1e6 / 1e3,
      setup.press.clamp_force / 1e3);
}

nlohmann::ordered_json section_json(const Section& s) {
  return {{"kind", kind_name(s)}, {"width_mm", width(s) / mm}, {"depth_mm", depth(s) / mm}};
}

nlohmann::ordered_json gate_json(const GateSize& g) {
  const auto or_null = [](bool known, const auto& value) {
    return known ? nlohmann::ordered_json(value) : nlohmann::ordered_json();
  };
  return {{"name", g.name},
          {"part", or_null(!g.part.empty(), g.part)},
          {"x_mm", g.at.x / mm},
          {"y_mm", g.at.y / mm},
          {"width_mm", g.width / mm},
          {"depth_mm", g.depth / mm},
          {"length_mm", g.length / mm},
          {"cutter_mm", or_null(g.cutter > 0.0, g.cutter / mm)}};
}

}  // namespace

std::string frame_text(const Setup& setup, const FrameReport& report) {
  const FrameFigures& figures = report.figures;
  std::string text = setup.title.empty() ? "" : setup.title + "\n";
  text += fmt::format("material   {}\n", setup.material.name);
  text += mesh_text(setup, figures) + "\n" + part_table(figures) + "\n";
  if (!figures.channels.empty()) text += channel_table(figures) + "\n";
  if (!report.gates.empty()) text += gate_table(report.gates) + "\n";
  text += shot_text(setup, figures);
  for (const FrameNote& n : report.notes)
    text += fmt::format("note       {}{}\n", n.text, n.source.empty() ? "" : " (" + n.source + ")");
  return text;
}

std::string frame_json(const Setup& setup, const FrameReport& report) {
  const FrameFigures& f = report.figures;
  nlohmann::ordered_json j;
  j["title"] = setup.title;
  j["mesh"] = {{"nodes", setup.model.n_nodes()},
               {"triangles", setup.model.mesh.triangles.size()},
               {"channel_elements", setup.model.lines.size()},
               {"layers", setup.accuracy.layers},
               {"min_angle_deg", f.mesh.min_angle_deg},
               {"min_edge_mm", f.mesh.min_edge / mm},
               {"max_edge_mm", f.mesh.max_edge / mm},
               {"elements_across_gate", elements_across(f)}};
  j["parts"] = nlohmann::ordered_json::array();
  for (const PartFigures& p : f.parts)
    j["parts"].push_back({{"name", p.name},
                          {"wall_min_mm", p.thickness_min / mm},
                          {"wall_max_mm", p.thickness_max / mm},
                          {"area_mm2", p.area / mm2},
                          {"volume_mm3", p.volume / mm3},
                          {"mass_g", p.mass / gram},
                          {"x_mm", p.centre.x / mm},
                          {"y_mm", p.centre.y / mm}});
  j["channels"] = nlohmann::ordered_json::array();
  for (const ChannelFigures& c : f.channels)
    j["channels"].push_back(
        {{"name", c.name},
         {"role", role_name(c.role)},
         {"begin", section_json(c.start)},
         {"end", section_json(c.end)},
         {"length_mm", c.length / mm},
         {"volume_mm3", c.volume / mm3},
         {"feeds", c.feeds.empty() ? nlohmann::ordered_json() : nlohmann::ordered_json(c.feeds)}});
  j["gates"] = nlohmann::ordered_json::array();
  for (const GateSize& g : report.gates) j["gates"].push_back(gate_json(g));
  j["shot"] = {{"volume_cm3", f.volume / cm3},
               {"mass_g", f.mass / gram},
               {"runner_share", f.runner_share},
               {"stroke_mm", f.volume / screw_area(setup.press) / mm},
               {"projected_area_cm2", f.projected_area / cm2}};
  j["balance"] = {{"mass_left_g", f.mass_left / gram},
                  {"mass_right_g", f.mass_right / gram},
                  {"mass_top_g", f.mass_top / gram},
                  {"mass_bottom_g", f.mass_bottom / gram}};
  j["notes"] = nlohmann::ordered_json::array();
  for (const FrameNote& n : report.notes)
    j["notes"].push_back({{"rule", n.rule}, {"text", n.text}, {"source", n.source}});
  return j.dump(2) + "\n";
}

}  // namespace firstshot
