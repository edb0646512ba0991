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
constexpr double pressure_share = 0.05, volume_share = 0.05;  // in what is minimised
constexpr double least_gain = 0.01;                           // of what is minimised

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

void allow(SizeChoice& choice, const BalanceRules& rules, double largest, const char* why) {
  double smallest = std::numeric_limits<double>::infinity();
  for (const double d : rules.cutters) smallest = std::min(smallest, d);
  const double low = std::max({narrowest * choice.present, choice.depth ? rules.step : smallest});
  const double high = std::min(widest * choice.present, largest);
  std::vector<double> sizes = steps_between(low, high, rules.step);
  if (!choice.depth)
    for (const double d : rules.cutters)
      if (d >= low && d <= high) sizes.push_back(d);
  std::sort(sizes.begin(), sizes.end());
  bool larger = false;
  for (const double s : sizes) {
    larger = larger || s > choice.present + same;
    if (std::abs(s - choice.present) < same) continue;
    if (rules.metal_safe && s < choice.present) continue;
    if (choice.allowed.empty() || s > choice.allowed.back() + same) choice.allowed.push_back(s);
  }
  if (!choice.allowed.empty()) return;
  choice.blocked = largest < choice.present + rules.step || !larger
                       ? why
                       : "no cutter and no step gives another size";
}

double cost(const BalanceFigures& f, const BalanceFigures& present, double target) {
  return std::max(f.spread, target) / target + pressure_share * f.pressure / present.pressure +
         volume_share * f.channels / present.channels;
}

struct Choice {
  std::size_t choice = 0;
  double size = 0.0;
};

std::vector<SizeFactors> factors_of(const Setup& setup, const std::vector<SizeChoice>& choices,
                                    const std::vector<Choice>& taken) {
  std::vector<SizeFactors> factors(setup.model.channels.size());
  for (const Choice& t : taken) {
    const SizeChoice& c = choices[t.choice];
    SizeFactors& f = factors[c.channel];
    const double factor = t.size / c.present;
    const bool gate = setup.model.channels[c.channel].role == Role::gate;
    if (!c.depth) f.width = factor;
    if (c.depth || !gate) f.depth = factor;
  }
  return factors;
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
      allow(size, rules, std::numeric_limits<double>::infinity(), "only larger sizes are allowed");
      allow(deep, rules, gate_share * wall_behind(model, channel.feeds),
            "deeper than 0.8 of the wall it would break off badly");
    }
    choices.push_back(size);
    choices.push_back(deep);
  }
  return choices;
}

BalanceProposal propose_sizes(const Setup& setup, const BalanceTree& tree,
                              const std::vector<SizeFactors>& applied,
                              const std::vector<SizeChoice>& choices, const BalanceRules& rules) {
  BalanceProposal out;
  std::vector<Choice> taken;
  const auto figures = [&](const std::vector<Choice>& t) {
    std::vector<SizeFactors> factors = factors_of(setup, choices, t);
    for (std::size_t c = 0; c < factors.size(); ++c) {
      factors[c].width /= applied[c].width;
      factors[c].depth /= applied[c].depth;
    }
    return tree.figures(factors);
  };
  out.before = figures(taken);
  double now = cost(out.before, out.before, rules.target);
  while (static_cast<int>(taken.size()) < rules.most_changes &&
         figures(taken).spread > rules.target) {
    std::vector<Choice> best;
    double least = now;
    for (std::size_t c = 0; c < choices.size(); ++c)
      for (const double size : choices[c].allowed) {
        std::vector<Choice> trial = taken;
        std::erase_if(trial, [&](const Choice& t) { return t.choice == c; });
        trial.push_back({c, size});
        const double value = cost(figures(trial), out.before, rules.target);
        if (value >= least) continue;
        least = value;
        best = std::move(trial);
      }
    if (best.empty() || now - least < least_gain * now) break;
    now = least;
    taken = std::move(best);
  }
  for (std::size_t k = taken.size(); k-- > 0;) {
    std::vector<Choice> without = taken;
    without.erase(without.begin() + static_cast<std::ptrdiff_t>(k));
    if (figures(without).spread <= std::max(rules.target, figures(taken).spread)) taken = without;
  }
  std::vector<Choice> so_far;
  for (const Choice& t : taken) {
    const SizeChoice& c = choices[t.choice];
    const double before = figures(so_far).spread;
    so_far.push_back(t);
    const Channel& channel = setup.model.channels[c.channel];
    out.changes.push_back(
        {channel.name, channel.role, c.depth, c.present, t.size, before, figures(so_far).spread});
  }
  out.factors = factors_of(setup, choices, taken);
  out.after = figures(taken);
  return out;
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
