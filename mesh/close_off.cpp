#include "mesh/close_off.hpp"

#include <algorithm>
#include <limits>

#include "mesh/error.hpp"
#include "mesh/outline.hpp"

namespace firstshot {
namespace {

bool listed(const std::vector<std::string>& names, const std::string& name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

template <class Entries>
void check_names(const std::vector<std::string>& names, const Entries& entries, const char* what) {
  for (const std::string& name : names) {
    if (std::any_of(entries.begin(), entries.end(),
                    [&](const auto& entry) { return entry.name == name; }))
      continue;
    std::string text = "there is no " + std::string(what) + " \"";
    text.append(name).append("\" to close; known: ");
    const char* separator = "";
    for (const auto& entry : entries) {
      text.append(separator).append(entry.name);
      separator = ", ";
    }
    throw Error(text);
  }
}

/// Index of the area that a point lies in or nearest to.
std::size_t nearest_area(const std::vector<ClosedLine>& outlines, Point p) {
  std::size_t best = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    const double d = contains(outlines[i].points, p) ? 0.0 : rim_distance(outlines[i].points, p);
    if (d >= least) continue;
    least = d;
    best = i;
  }
  return best;
}

/// Index of the area on whose rim a gate ends.
std::size_t fed_area(const std::vector<ClosedLine>& outlines, Point end) {
  std::size_t best = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    const double d = rim_distance(outlines[i].points, end);
    if (d >= least) continue;
    least = d;
    best = i;
  }
  return best;
}

}  // namespace

ClosedFrame close_off(const Layout& layout, const ShutOff& shut) {
  check_names(shut.gates, layout.gates, "gate");
  check_names(shut.parts, layout.areas, "part");
  ClosedFrame out;
  out.layout = layout;
  std::vector<ClosedLine> outlines;
  for (const Area& area : layout.areas) outlines.push_back(closed_line(area.outline, ArcRule{}));
  std::vector<int> gates_left(layout.areas.size(), 0), gates_before(layout.areas.size(), 0);
  std::vector<std::size_t> feeds;
  for (const GateLine& gate : layout.gates) {
    feeds.push_back(fed_area(outlines, gate.to));
    ++gates_before[feeds.back()];
    if (!listed(shut.gates, gate.name)) ++gates_left[feeds.back()];
  }
  std::vector<bool> gone(layout.areas.size(), false);
  out.layout.areas.clear();
  for (std::size_t i = 0; i < layout.areas.size(); ++i) {
    gone[i] =
        listed(shut.parts, layout.areas[i].name) || (gates_before[i] > 0 && gates_left[i] == 0);
    if (gone[i])
      out.parts.push_back(layout.areas[i].name);
    else
      out.layout.areas.push_back(layout.areas[i]);
  }
  if (out.layout.areas.empty())
    throw Error("every part is closed off; allowed: at least one part that is still fed");
  out.layout.gates.clear();
  for (std::size_t g = 0; g < layout.gates.size(); ++g) {
    const GateLine& gate = layout.gates[g];
    if (listed(shut.gates, gate.name) || gone[feeds[g]])
      out.gates.push_back(gate.name);
    else
      out.layout.gates.push_back(gate);
  }
  const auto on_gone = [&](Point p) { return gone[nearest_area(outlines, p)]; };
  std::erase_if(out.layout.vents, [&](const Vent& v) { return on_gone(v.at.front()); });
  std::erase_if(out.layout.ejectors, [&](const EjectorPin& pin) {
    const std::size_t area = nearest_area(outlines, pin.at);
    return gone[area] && contains(outlines[area].points, pin.at);
  });
  return out;
}

}  // namespace firstshot
