// Further gates where a part stays short or catches air.
#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "io/balance_layout.hpp"
#include "tools/cli/balance_job.hpp"
#include "tools/cli/gate_troubles.hpp"

namespace firstshot {
namespace {

constexpr double longest_gate =
    10e-3;                          ///< from the line of a runner [m], common practice, no source
constexpr double wall_share = 0.8;  ///< of the wall is a gate deep at most, as in balance_search
constexpr double mm = 1e-3;
constexpr std::size_t most_gates = 6, most_places = 3;  // in all; that are tried for one trouble

/// How bad a run is: what is not filled, and how often air is caught.
struct Badness {
  double unfilled = 0.0;  ///< [m³]
  long traps = 0;
  /// Worth a gate: a good part less unfilled, or less air caught and nothing more unfilled.
  bool better_than(const Badness& other) const {
    constexpr double good_part = 0.75;
    constexpr double least = 1e-12;  // of a part: a cube of 0.1 mm [m³]
    if (unfilled > least || other.unfilled > least)
      return unfilled < good_part * other.unfilled ||
             (unfilled <= other.unfilled && traps < other.traps);
    return traps < other.traps;
  }
};
Badness badness(const Result& run) {
  Badness b;
  for (const ShortShot& s : run.short_shots) b.unfilled += s.unfilled;
  b.traps = std::count_if(run.air_pockets.begin(), run.air_pockets.end(), is_caught);
  return b;
}

const Area* part_of(const Layout& layout, const std::string& name) {
  for (const Area& area : layout.areas)
    if (area.role == Role::part && area.name == name) return &area;
  return nullptr;
}

/// As wide and deep as the gate that feeds the part, in a width that a cutter makes.
GateLine size_of(const Case& c, const Area& area, const Result& run, const std::string& name) {
  GateLine gate;
  gate.name = name;
  double width = 0.0, depth = 0.0;
  for (const GateResult& g : run.gates) {
    if (g.part != area.name && width > 0.0) continue;
    width = g.width;
    depth = g.depth;
  }
  gate.width = c.cutters.front();
  for (const double d : c.cutters)
    if (std::abs(d - width) < std::abs(gate.width - width)) gate.width = d;
  double wall = area.thickness;
  for (const Step& step : area.steps) wall = std::min(wall, step.thickness);
  gate.depth = depth > 0.0 ? std::min(depth, wall_share * wall) : wall_share * wall;
  return gate;
}

std::string free_name(const Case& c) {
  for (int k = 1;; ++k) {
    std::string name = fmt::format("extra-gate-{}", k);
    if (std::none_of(c.layout.gates.begin(), c.layout.gates.end(),
                     [&](const GateLine& g) { return g.name == name; }))
      return name;
  }
}

/// Gates for one trouble: at the place nearest to it, at the shortest one, and between.
std::vector<GateLine> gates_for(const Case& c, const Trouble& trouble, const Area& area,
                                const Result& run) {
  const GateLine size = size_of(c, area, run, free_name(c));
  std::vector<GatePlace> places = gate_places(c.layout, area, longest_gate, size.width);
  if (places.empty()) return {};
  const double back = 1.0 / cavity_scale(c);
  const Point at{back * trouble.at.x, back * trouble.at.y};
  std::vector<GatePlace> chosen = {places.front()};
  const auto way = [&](const GatePlace& p) { return std::hypot(p.to.x - at.x, p.to.y - at.y); };
  std::stable_sort(places.begin(), places.end(),
                   [&](const GatePlace& a, const GatePlace& b) { return way(a) < way(b); });
  chosen.insert(chosen.begin(), places.front());
  if (places.size() > 2) chosen.insert(chosen.begin() + 1, places[places.size() / 4]);
  std::vector<GateLine> gates;
  for (std::size_t k = 0; k < std::min(chosen.size(), most_places); ++k) {
    gates.push_back(size);
    gates.back().from = chosen[k].from;
    gates.back().to = chosen[k].to;
  }
  return gates;
}

class GateSearch {
 public:
  GateSearch(BalanceJob& job, const Result& first, BalanceAnswer& answer)
      : job_(job), answer_(answer), best_(job.written()), run_(first) {}

  Case find() {
    while (answer_.gates.size() < most_gates) {
      const std::vector<Trouble> list = troubles(run_);
      const auto next = std::find_if(list.begin(), list.end(), [&](const Trouble& t) {
        return std::none_of(left_.begin(), left_.end(),
                            [&](const Left& l) { return same(l.trouble, t); });
      });
      if (next == list.end()) break;
      if (const std::string why = cure(*next); !why.empty()) left_.push_back({*next, why});
    }
    return best_;
  }

  /// What is still wrong in the last run, and why no gate cures it.
  std::string blocked() const {
    std::string text;
    for (const Trouble& t : troubles(run_)) {
      std::string why = fmt::format("{} gates are added already", most_gates);
      for (const Left& l : left_)
        if (same(l.trouble, t)) why = l.why;
      text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", t.words, why);
    }
    return text;
  }

 private:
  struct Left {
    Trouble trouble;
    std::string why;
  };

  /// @return why not; empty: a gate was added
  std::string cure(const Trouble& trouble) {
    const Area* area = part_of(best_.layout, trouble.part);
    if (area == nullptr) return "it is in a channel; a vent at its end is the cure (--vents)";
    if (area->visible && !job_.options().visible_gates)
      return "the part has a visible face (--visible-gates allows a gate there)";
    const std::vector<GateLine> gates = gates_for(best_, trouble, *area, run_);
    if (gates.empty())
      return fmt::format("no runner comes within {:.0f} mm of a free place on its rim",
                         longest_gate / mm);
    std::optional<GateLine> chosen;
    Result better;
    for (const GateLine& gate : gates) {
      std::optional<Result> run = tried(gate, trouble);
      if (!run || !badness(*run).better_than(badness(chosen ? better : run_))) continue;
      chosen = gate;
      better = std::move(*run);
    }
    if (!chosen) return "no gate that was tried there helps";
    answer_.gates.push_back({*chosen, trouble.part, cured(better)});
    best_ = with(*chosen);
    run_ = std::move(better);
    return "";
  }

  /// The fill with one more gate; none where the case cannot have it, as beside a vent at the end
  /// of its runner.
  std::optional<Result> tried(const GateLine& gate, const Trouble& trouble) {
    const std::string place = fmt::format("a gate at ({:.1f}, {:.1f}) mm on {}: ", gate.to.x / mm,
                                          gate.to.y / mm, trouble.part);
    try {
      Result run = job_.fill(job_.build(with(gate)).setup);
      job_.say(fmt::format("{}{} parts short, {} pockets of air", place, run.short_shots.size(),
                           badness(run).traps));
      return run;
    } catch (const Error& e) {
      job_.say(fmt::format("{}not possible, {}", place, e.what()));
      return std::nullopt;
    }
  }

  Case with(const GateLine& gate) const {
    Case c = best_;
    c.layout.gates.push_back(gate);
    return c;
  }

  std::string cured(const Result& run) const {
    std::string words;
    for (const Trouble& t : gone(troubles(run_), troubles(run)))
      words += (words.empty() ? "" : ", ") + t.words;
    if (!words.empty()) return words;
    return fmt::format("{:.0f} % less stays unfilled",
                       100.0 * (1.0 - badness(run).unfilled / badness(run_).unfilled));
  }

  BalanceJob& job_;
  BalanceAnswer& answer_;
  Case best_;
  Result run_;
  std::vector<Left> left_;
};

}  // namespace

Case find_gates(BalanceJob& job, const Result& first, BalanceAnswer& answer) {
  GateSearch search(job, first, answer);
  Case better = search.find();
  answer.blocked = search.blocked();
  return better;
}

}  // namespace firstshot
