#include "solver/whole/balance_search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace firstshot {
namespace {

constexpr double same = 1e-7;                    // [m]
constexpr double narrowest = 0.4, widest = 2.5;  // of the present size, so that the tree holds
constexpr double gate_share = 0.8;               // of the wall behind it
constexpr double small_share = 0.05;             // of what is not the aim in what is made least
constexpr double excess_share = 10.0;            // of what goes over a limit
constexpr double least_gain = 0.01;              // of what is made least
constexpr std::size_t screened = 12;             // measures whose sizes are all tried

Section section_of(const Model& model, std::size_t channel) {
  for (const LineElement& e : model.lines.span())
    if (static_cast<std::size_t>(e.channel) == channel) return e.start;
  return RoundSection{};
}

double wall_behind(const Model& model, std::int32_t region) {
  double wall = std::numeric_limits<double>::infinity();
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t)
    if (model.mesh.region[make_id<TriId>(t)] == region)
      wall = std::min(wall, model.thickness[make_id<TriId>(t)]);
  return wall;
}

/// How much larger a channel may become without cooling longer than the slowest place does now.
double cooling_room(const Result& run, const std::string& channel) {
  if (!run.cycle) return widest;
  double slowest = std::max(run.cycle->parts_ejectable.value, run.cycle->runners_ejectable.value);
  for (const CooledPiece& piece : run.cycle->channels)
    if (piece.name == channel && piece.ejectable > 0.0)
      return std::sqrt(std::max(1.0, slowest / piece.ejectable));
  return widest;
}

std::vector<double> steps_between(double low, double high, double step) {
  std::vector<double> sizes;
  for (double k = std::ceil(low / step - same); k * step <= high + same; k += 1.0)
    sizes.push_back(k * step);
  return sizes;
}

/// @param largest that the shop's rule allows [m] @param why the rule
void allow(SizeChoice& choice, const BalanceRules& rules, double largest, const char* why) {
  double smallest = std::numeric_limits<double>::infinity();
  for (const double d : rules.cutters) smallest = std::min(smallest, d);
  const double low = std::max(narrowest * choice.present, choice.depth ? rules.step : smallest);
  const double high = widest * choice.present;
  std::vector<double> sizes = steps_between(low, high, rules.step);
  if (!choice.depth)
    for (const double d : rules.cutters)
      if (d >= low && d <= high) sizes.push_back(d);
  std::sort(sizes.begin(), sizes.end());
  choice.blocked = "no cutter and no step gives another size";
  for (const double s : sizes) {
    if (std::abs(s - choice.present) < same) continue;
    if (rules.metal_safe && s < choice.present) {
      choice.blocked = "only larger sizes are allowed, and no cutter and no step gives one";
      continue;
    }
    if (s > largest + same) {
      choice.blocked = why;
      break;
    }
    if (choice.allowed.empty() || s > choice.allowed.back() + same) choice.allowed.push_back(s);
  }
  if (!choice.allowed.empty()) choice.blocked.clear();
}

/// Sizes of a measure that the network is trusted with.
std::vector<double> near_sizes(const SizeChoice& choice, double now, double trust) {
  std::vector<double> sizes;
  for (const double s : choice.allowed)
    if (s <= now * trust + same && s >= now / trust - same) sizes.push_back(s);
  return sizes;
}

double size_in(const std::vector<SizeChoice>& choices, const SizePicks& picks, std::size_t choice) {
  for (const SizePick& p : picks)
    if (p.choice == choice) return p.size;
  return choices[choice].present;
}

/// The forecasts of one search.
class Forecasts {
 public:
  Forecasts(const Setup& setup, const BalanceStart& start, const std::vector<SizeChoice>& choices,
            const BalanceRules& rules)
      : model_(setup.model),
        start_(start),
        choices_(choices),
        rules_(rules),
        applied_(size_factors(model_, choices, start.picks)),
        present_(figures({})) {}

  BalanceFigures figures(const SizePicks& picks) const {
    return start_.network.figures(factors(picks));
  }
  double cost(const SizePicks& picks) const {
    return balance_cost(figures(picks), present_, rules_);
  }
  /// Measures by what a size within reach promises by its slope, the most first.
  std::vector<std::size_t> by_promise(const SizePicks& picks) const {
    const std::vector<SizeFactors> at = factors(picks);
    const BalanceFigures now = figures(picks);
    std::vector<std::pair<double, std::size_t>> promise;
    for (std::size_t c = 0; c < choices_.size(); ++c) {
      const SizeChoice& choice = choices_[c];
      const std::vector<double> sizes = reach(c);
      if (sizes.empty()) continue;
      const bool gate = model_.channels[choice.channel].role == Role::gate;
      const BalanceSlopes slope =
          start_.network.slopes(at, choice.channel, !choice.depth, choice.depth || !gate);
      double least = balance_cost(now, present_, rules_);
      for (const double size : {sizes.front(), sizes.back()}) {
        const double way = std::log(size / size_in(choices_, picks, c));
        BalanceFigures then = now;
        then.spread = std::max(0.0, now.spread + slope.spread * way);
        then.pressure = now.pressure + slope.pressure * way;
        if (rules_.aim == BalanceAim::weight)
          then.channels = figures(with(picks, c, size)).channels;
        least = std::min(least, balance_cost(then, present_, rules_));
      }
      promise.emplace_back(least, c);
    }
    std::sort(promise.begin(), promise.end());
    std::vector<std::size_t> order;
    order.reserve(promise.size());
    for (const auto& [value, c] : promise) order.push_back(c);
    return order;
  }
  std::vector<double> reach(std::size_t c) const {
    return near_sizes(choices_[c], size_in(choices_, start_.picks, c), start_.trust);
  }
  static SizePicks with(SizePicks picks, std::size_t choice, double size) {
    std::erase_if(picks, [&](const SizePick& p) { return p.choice == choice; });
    picks.push_back({choice, size});
    return picks;
  }

 private:
  /// Against the sizes of the network's run.
  std::vector<SizeFactors> factors(const SizePicks& picks) const {
    std::vector<SizeFactors> f = size_factors(model_, choices_, picks);
    for (std::size_t c = 0; c < f.size(); ++c) {
      f[c].width /= applied_[c].width;
      f[c].depth /= applied_[c].depth;
    }
    return f;
  }
  const Model& model_;
  const BalanceStart& start_;
  const std::vector<SizeChoice>& choices_;
  const BalanceRules& rules_;
  std::vector<SizeFactors> applied_;
  BalanceFigures present_;
};

/// The one change more that costs least, if any helps.
std::optional<SizePicks> best_step(const Forecasts& forecasts, const SizePicks& picks, double now) {
  std::optional<SizePicks> best;
  double least = now * (1.0 - least_gain);
  const std::vector<std::size_t> order = forecasts.by_promise(picks);
  for (std::size_t k = 0; k < order.size() && (k < screened || !best); ++k)
    for (const double size : forecasts.reach(order[k])) {
      SizePicks trial = Forecasts::with(picks, order[k], size);
      const double value = forecasts.cost(trial);
      if (value >= least) continue;
      least = value;
      best = std::move(trial);
    }
  return best;
}

}  // namespace

std::vector<SizeChoice> size_choices(const Setup& setup, const Result& run,
                                     const BalanceRules& rules) {
  const Model& model = setup.model;
  std::vector<SizeChoice> choices;
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    const Channel& channel = model.channels[c];
    if (channel.role != Role::gate && channel.role != Role::runner) continue;
    const Section section = section_of(model, c);
    SizeChoice size{c, false, width(section), {}, ""};
    if (channel.role == Role::runner) {
      allow(size, rules, size.present * cooling_room(run, channel.name),
            "thicker it would lengthen the cycle");
      choices.push_back(size);
      continue;
    }
    SizeChoice deep{c, true, depth(section), {}, ""};
    const bool visible =
        channel.feeds >= 0 && model.regions[static_cast<std::size_t>(channel.feeds)].visible;
    if (visible && !rules.visible_gates) {
      size.blocked = deep.blocked = "it stands on a part with a visible face";
    } else {
      allow(size, rules, std::numeric_limits<double>::infinity(), "");
      allow(deep, rules, gate_share * wall_behind(model, channel.feeds),
            "deeper than 0.8 of the wall it would break off badly");
    }
    choices.push_back(size);
    choices.push_back(deep);
  }
  return choices;
}

std::vector<SizeFactors> size_factors(const Model& model, const std::vector<SizeChoice>& choices,
                                      const SizePicks& picks) {
  std::vector<SizeFactors> factors(model.channels.size());
  for (const SizePick& p : picks) {
    const SizeChoice& c = choices[p.choice];
    const bool gate = model.channels[c.channel].role == Role::gate;
    if (!c.depth) factors[c.channel].width = p.size / c.present;
    if (c.depth || !gate) factors[c.channel].depth = p.size / c.present;
  }
  return factors;
}

double balance_cost(const BalanceFigures& f, const BalanceFigures& present,
                    const BalanceRules& rules) {
  const double pressure = f.pressure / present.pressure, volume = f.channels / present.channels;
  double cost = 0.0;
  if (rules.most_pressure > 0.0)
    cost = excess_share *
           std::max(0.0, f.pressure / std::max(rules.most_pressure, present.pressure) - 1.0);
  if (rules.aim == BalanceAim::even)
    return cost + std::max(f.spread, rules.target) / rules.target +
           small_share * (pressure + volume);
  cost += excess_share * std::max(0.0, f.spread / std::max(rules.target, present.spread) - 1.0);
  return cost + (rules.aim == BalanceAim::pressure ? pressure + small_share * volume
                                                   : volume + small_share * pressure);
}

BalanceProposal propose_sizes(const Setup& setup, const BalanceStart& start,
                              const std::vector<SizeChoice>& choices, const BalanceRules& rules) {
  const Forecasts forecasts(setup, start, choices, rules);
  const bool even = rules.aim == BalanceAim::even;
  SizePicks picks;
  double now = forecasts.cost(picks);
  while (static_cast<int>(picks.size()) < rules.most_changes &&
         !(even && forecasts.figures(picks).spread <= rules.target)) {
    std::optional<SizePicks> next = best_step(forecasts, picks, now);
    if (!next) break;
    picks = std::move(*next);
    now = forecasts.cost(picks);
  }
  for (std::size_t k = picks.size(); k-- > 0;) {
    SizePicks without = picks;
    without.erase(without.begin() + static_cast<std::ptrdiff_t>(k));
    if (forecasts.cost(without) <= forecasts.cost(picks) * (1.0 + least_gain)) picks = without;
  }
  return {picks, forecasts.figures(start.picks), forecasts.figures(picks)};
}

std::string blocking_rules(const Setup& setup, const std::vector<SizeChoice>& choices) {
  std::map<std::string, std::vector<std::string>> by_rule;
  for (const SizeChoice& c : choices) {
    if (c.blocked.empty()) continue;
    std::vector<std::string>& names = by_rule[c.blocked];
    const std::string& name = setup.model.channels[c.channel].name;
    if (names.empty() || names.back() != name) names.push_back(name);
  }
  std::string text;
  for (const auto& [rule, names] : by_rule) {
    text += (text.empty() ? "" : "; ") + names.front();
    if (names.size() > 1) text += " and " + std::to_string(names.size() - 1) + " more";
    text += ": " + rule;
  }
  return text;
}

}  // namespace firstshot
