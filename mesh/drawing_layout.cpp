#include "mesh/drawing_layout.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <set>

#include "mesh/check_layout.hpp"
#include "mesh/drawn_channels.hpp"
#include "mesh/error.hpp"
#include "mesh/join_paths.hpp"
#include "mesh/nested_outlines.hpp"
#include "mesh/part_names.hpp"

namespace firstshot {
namespace {

[[noreturn]] void fail(const std::string& what, Point at) { throw GeometryError(what, at.x, at.y); }

// What the drawing holds on one layer.
struct LayerContent {
  const LayerRule* rule = nullptr;
  std::vector<DrawnPath> paths;
  std::vector<DrawnCircle> circles;
  std::vector<DrawnPoint> points;
};

std::vector<LayerContent> by_layer(const Drawing& drawing, const DrawingRules& rules) {
  std::vector<LayerContent> content;
  std::map<std::string, std::size_t> index;
  for (const LayerRule& rule : rules.layers) {
    index.emplace(rule.name, content.size());
    content.push_back({&rule, {}, {}, {}});
  }
  const auto of = [&](const std::string& layer, const Origin& origin) -> LayerContent& {
    const auto it = index.find(layer);
    if (it == index.end()) throw Error(origin + ": layer \"" + layer + "\" has no meaning");
    return content[it->second];
  };
  for (const DrawnPath& path : drawing.paths) of(path.layer, path.origin).paths.push_back(path);
  for (const DrawnCircle& c : drawing.circles) of(c.layer, c.origin).circles.push_back(c);
  for (const DrawnPoint& p : drawing.points) of(p.layer, p.origin).points.push_back(p);
  return content;
}

template <class Meaning>
bool means(const LayerContent& layer) {
  return std::holds_alternative<Meaning>(layer.rule->meaning);
}

bool is_outline_layer(const LayerContent& layer) {
  return means<AreaLayer>(layer) || means<HoleLayer>(layer) || means<StepLayer>(layer);
}

std::vector<DrawnOutline> outlines_of(const LayerContent& layer, double gap, JoinReport& report) {
  const std::vector<DrawnPath> chains = join_paths(layer.paths, {gap, {}, false}, report);
  std::vector<DrawnOutline> outlines;
  for (const DrawnPath& chain : chains) {
    if (!chain.closed) throw_open(chain, chains, gap);
    const bool bent = std::any_of(chain.corners.begin(), chain.corners.end(),
                                  [](const Corner& c) { return c.bulge != 0.0; });
    if (chain.corners.size() < (bent ? 2U : 3U))
      fail(chain.origin + ": this outline encloses nothing", chain.corners.front().at);
    outlines.push_back({PolygonShape{chain.corners}, layer.rule, chain.origin});
  }
  std::set<std::array<std::int64_t, 3>> seen;
  for (const DrawnCircle& c : layer.circles) {
    constexpr double kRounding = 1e-6;  // [m]
    const auto& [centre, diameter] = c.circle;
    const bool added =
        seen.insert({std::llround(centre.x / kRounding), std::llround(centre.y / kRounding),
                     std::llround(diameter / kRounding)})
            .second;
    if (added) {
      outlines.push_back({c.circle, layer.rule, c.origin});
    } else if (report.repeats++ == 0) {
      report.repeat_at = centre;
    }
  }
  return outlines;
}

// Names parts by their marks; runners and gates drawn as areas by their role.
void name_areas(std::vector<Area>& areas, const std::vector<PartMark>& marks) {
  std::vector<FoundPart> parts;
  std::vector<Area*> named;
  std::map<Role, int> others;
  for (Area& area : areas) {
    if (area.role != Role::part) {
      area.name = role_name(area.role) + "-area-" + std::to_string(++others[area.role]);
      continue;
    }
    parts.push_back({middle_of(area.outline), [&area](Point p) { return contains(area, p); }});
    named.push_back(&area);
  }
  const std::vector<PartName> names = name_parts(parts, marks);
  for (std::size_t i = 0; i < named.size(); ++i) {
    named[i]->name = names[i].name;
    named[i]->visible = named[i]->visible || names[i].visible;
  }
}

std::optional<Sprue> sprue_of(const std::vector<LayerContent>& content) {
  std::optional<Sprue> found;
  const auto add = [&found](const SprueLayer& layer, Point at, double foot, const Origin& origin) {
    if (found) fail(origin + ": a second sprue; the first is at " + place_text(found->at), at);
    if (!(foot > 0.0)) {
      fail(origin + ": the sprue is drawn as a point, so its layer needs foot_diameter", at);
    }
    found = Sprue{at, layer.length, layer.nozzle_diameter, foot, origin};
  };
  for (const LayerContent& layer : content) {
    const auto* sprue = std::get_if<SprueLayer>(&layer.rule->meaning);
    if (sprue == nullptr) continue;
    for (const DrawnCircle& c : layer.circles) {
      add(*sprue, c.circle.centre, sprue->foot_diameter.value_or(c.circle.diameter), c.origin);
    }
    for (const DrawnPoint& p : layer.points)
      add(*sprue, p.at, sprue->foot_diameter.value_or(0.0), p.origin);
    if (!layer.paths.empty()) {
      fail(layer.paths.front().origin + ": a sprue must be one circle or one point",
           layer.paths.front().corners.front().at);
    }
  }
  return found;
}

void refuse_circles_on(const LayerContent& layer) {
  if (layer.circles.empty()) return;
  fail(layer.circles.front().origin + ": a circle on layer \"" + layer.rule->name +
           "\", where only lines have a meaning",
       layer.circles.front().circle.centre);
}

std::vector<std::string> notes_of(const JoinReport& report, double gap) {
  std::vector<std::string> notes;
  if (report.gaps > 0) {
    notes.push_back("Closed " + std::to_string(report.gaps) +
                    (report.gaps == 1 ? " gap" : " gaps") + " between lines of the drawing; the " +
                    (report.gaps == 1 ? "gap is " : "largest is ") + in_mm(report.largest_gap) +
                    " at " + place_text(report.largest_at) + " (allowed: " + in_mm(gap) + ").");
  }
  if (report.repeats > 0) {
    notes.push_back("Left out " + std::to_string(report.repeats) +
                    " lines that are drawn on top of others, the first at " +
                    place_text(report.repeat_at) + ".");
  }
  return notes;
}

}  // namespace

DrawnLayout layout_of(const Drawing& drawing, const DrawingRules& rules) {
  const std::vector<LayerContent> content = by_layer(drawing, rules);
  DrawnLayout drawn;
  Layout& layout = drawn.layout;
  JoinReport report;
  layout.sprue = sprue_of(content);
  if (!layout.sprue && !rules.injection) {
    throw Error(
        "the drawing has no sprue; draw one on a layer of role \"sprue\", or give "
        "injection.at");
  }
  layout.injection = layout.sprue ? layout.sprue->at : *rules.injection;
  std::vector<DrawnOutline> outlines;
  std::vector<LayerPaths> runners;
  std::vector<LayerPaths> gates;
  for (const LayerContent& layer : content) {
    if (is_outline_layer(layer)) {
      JoinReport joined;
      const auto more = outlines_of(layer, rules.gap, joined);
      outlines.insert(outlines.end(), more.begin(), more.end());
      report.add(joined);
    } else if (means<RunnerLayer>(layer) || means<GateLayer>(layer)) {
      refuse_circles_on(layer);
      (means<RunnerLayer>(layer) ? runners : gates).push_back({layer.rule, layer.paths});
    }
  }
  layout.areas = nest_outlines(outlines);
  if (layout.areas.empty())
    throw Error("the drawing has no part; outlines belong on a layer of role \"part\"");
  name_areas(layout.areas, rules.marks);
  layout.runners = runners_of(runners, layout.injection, rules.gap, report);
  layout.gates = gates_of(gates, layout.areas, layout.runners, rules.gap);
  drawn.notes = notes_of(report, rules.gap);
  return drawn;
}

}  // namespace firstshot
