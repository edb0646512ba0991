#include "mesh/part_names.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <tuple>

#include "mesh/check_layout.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"

namespace firstshot {
namespace {

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

std::size_t part_at(std::span<const FoundPart> parts, const PartMark& mark) {
  std::size_t nearest = kNone;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i].contains(mark.inside)) return i;
    if (nearest == kNone ||
        distance(parts[i].place, mark.inside) < distance(parts[nearest].place, mark.inside)) {
      nearest = i;
    }
  }
  const Point near = nearest == kNone ? Point{} : parts[nearest].place;
  throw GeometryError(mark.origin + ": the point of part \"" + mark.name +
                          "\" lies in no part; the middle of the nearest one is " +
                          place_text(near),
                      mark.inside.x, mark.inside.y);
}

}  // namespace

std::vector<std::size_t> reading_order(std::span<const Point> places) {
  constexpr double kStep = 0.1e-3;  // [m]
  const auto key = [&](std::size_t i) {
    return std::make_tuple(-std::round(places[i].y / kStep), std::round(places[i].x / kStep));
  };
  std::vector<std::size_t> order(places.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
  return order;
}

std::vector<PartName> name_parts(std::span<const FoundPart> parts,
                                 std::span<const PartMark> marks) {
  std::vector<PartName> names(parts.size());
  for (const PartMark& mark : marks) {
    PartName& name = names[part_at(parts, mark)];
    if (!name.name.empty()) {
      throw GeometryError(mark.origin + ": the points of \"" + name.name + "\" and \"" + mark.name +
                              "\" lie in the same part",
                          mark.inside.x, mark.inside.y);
    }
    name = {mark.name, mark.visible};
  }
  std::vector<Point> places;
  for (const FoundPart& part : parts) places.push_back(part.place);
  int number = 0;
  std::map<std::string, std::size_t> taken;
  for (const std::size_t i : reading_order(places)) {
    ++number;
    if (names[i].name.empty()) names[i].name = "part-" + std::to_string(number);
    if (!taken.emplace(names[i].name, i).second) {
      throw GeometryError("two parts are called \"" + names[i].name +
                              "\"; parts without a name are numbered so, choose another name",
                          parts[i].place.x, parts[i].place.y);
    }
  }
  return names;
}

}  // namespace firstshot
