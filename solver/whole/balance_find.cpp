#include "solver/whole/balance_find.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

#include "solver/assess/balance_figures.hpp"

namespace firstshot {
namespace {

constexpr double least_trust = 1.08;   ///< below it no size is within reach
constexpr double well_foretold = 0.5;  ///< of what a change was to bring

std::string sentence(const char* format, double a, double b) {
  constexpr std::size_t longest = 160;
  char text[longest];
  std::snprintf(text, longest, format, a, b);
  return text;
}

struct Tried {
  SizePicks picks;
  BalanceTrial trial;
  double forecast = -1.0;  ///< spread, by the network that proposed it [s]
};

class Finder {
 public:
  Finder(const Setup& setup, const BalanceTrial& present, const std::vector<SizeChoice>& choices,
         const BalanceRules& rules, const TrySizes& run, const FindSettings& settings)
      : setup_(setup),
        present_(present),
        choices_(choices),
        rules_(rules),
        run_(run),
        settings_(settings) {
    tried_.push_back({{}, present});
  }

  BalanceFound find() {
    propose();
    try_neighbours();
    drop_needless();
    return in_order();
  }

 private:
  /// Each set of sizes is run once. @return a place in tried_
  std::size_t trial(const SizePicks& picks) {
    const std::vector<SizeFactors> wanted = factors(picks);
    for (std::size_t k = 0; k < tried_.size(); ++k)
      if (factors(tried_[k].picks) == wanted) return k;
    tried_.push_back({picks, run_(wanted)});
    return tried_.size() - 1;
  }
  std::vector<SizeFactors> factors(const SizePicks& picks) const {
    return size_factors(setup_.model, choices_, picks);
  }
  double cost(std::size_t k) const {
    const BalanceTrial& t = tried_[k].trial;
    return t.fills ? balance_cost(t.figures, present_.figures, rules_)
                   : std::numeric_limits<double>::infinity();
  }
  bool reached(std::size_t k) const {
    return tried_[k].trial.fills && tried_[k].trial.figures.spread <= rules_.target;
  }
  /// Nothing more is wanted.
  bool done() const { return rules_.aim == BalanceAim::even && reached(best_); }
  void note(const std::string& text) const {
    if (settings_.on_note) settings_.on_note(text);
  }

  /// Proposals from the best run so far; the network is trusted the less, the worse it foretold.
  void propose() {
    double trust = settings_.trust;
    for (int round = 0; round < settings_.proposals && !done() && trust > least_trust; ++round) {
      // Copies: trials that follow move what they stand in.
      const FillNetwork network = *tried_[best_].trial.network;
      const SizePicks from = tried_[best_].picks;
      const BalanceProposal p = propose_sizes(setup_, {network, from, trust}, choices_, rules_);
      if (round == 0) forecast_ = p.after.spread;
      const std::size_t before = tried_.size();
      const std::size_t now = trial(p.picks);
      if (now == before) tried_[now].forecast = p.after.spread;
      const double hoped = balance_cost(p.before, present_.figures, rules_) -
                           balance_cost(p.after, present_.figures, rules_);
      const double gain = cost(best_) - cost(now);
      if (now == before)
        note(sentence("trial: spread %.3f s (foretold %.3f s)", tried_[now].trial.figures.spread,
                      p.after.spread));
      if (gain < well_foretold * hoped || now == best_) trust = 1.0 + 0.5 * (trust - 1.0);
      if (gain > 0.0) best_ = now;
    }
  }

  /// The found sizes one step up or down.
  std::vector<SizePicks> neighbours(const SizePicks& picks) const {
    std::vector<SizePicks> out;
    for (std::size_t k = 0; k < picks.size(); ++k) {
      const std::vector<double>& sizes = choices_[picks[k].choice].allowed;
      const auto at = std::find(sizes.begin(), sizes.end(), picks[k].size);
      if (at == sizes.end()) continue;
      for (const auto& next :
           {at + 1 == sizes.end() ? at : at + 1, at == sizes.begin() ? at : at - 1}) {
        if (next == at) continue;
        SizePicks changed = picks;
        changed[k].size = *next;
        out.push_back(std::move(changed));
      }
    }
    return out;
  }

  void try_neighbours() {
    const std::size_t most = tried_.size() + static_cast<std::size_t>(settings_.neighbours);
    for (bool better = true; better && !done();) {
      better = false;
      for (const SizePicks& picks : neighbours(tried_[best_].picks)) {
        if (done() || tried_.size() >= most) return;
        const std::size_t now = trial(picks);
        note(sentence("neighbour: spread %.3f s (best so far %.3f s)",
                      tried_[now].trial.figures.spread, tried_[best_].trial.figures.spread));
        if (cost(now) >= cost(best_)) continue;
        best_ = now;
        better = true;
        break;
      }
    }
  }

  /// Changes without which it is as good go, the last ones first.
  void drop_needless() {
    for (std::size_t k = tried_[best_].picks.size(); k-- > 0;) {
      SizePicks without = tried_[best_].picks;
      without.erase(without.begin() + static_cast<std::ptrdiff_t>(k));
      const std::size_t now = trial(without);
      if (enough(now)) best_ = now;
    }
  }

  /// The changes of the best run one after the other, to the first that is as good.
  BalanceFound in_order() {
    SizePicks picks = tried_[best_].picks;
    std::vector<std::size_t> stages = {0};
    for (std::size_t k = 1; k <= picks.size() && !(k > 1 && enough(stages.back())); ++k)
      stages.push_back(
          trial(SizePicks(picks.begin(), picks.begin() + static_cast<std::ptrdiff_t>(k))));
    picks.resize(stages.size() - 1);
    BalanceFound out;
    for (std::size_t k = 0; k < picks.size(); ++k)
      out.changes.push_back(change(picks[k], stages[k], stages[k + 1]));
    const std::size_t end = stages.back();
    out.factors = factors(picks);
    out.before = present_.figures;
    out.after = tried_[end].trial.figures;
    out.forecast = forecast_;
    out.reached = reached(end);
    out.runs = static_cast<int>(tried_.size()) - 1;
    return out;
  }
  /// As good as the best run.
  bool enough(std::size_t k) const {
    if (rules_.aim == BalanceAim::even && reached(k)) return true;
    return cost(k) <= cost(best_);
  }
  SizeChange change(const SizePick& pick, std::size_t before, std::size_t after) const {
    const SizeChoice& c = choices_[pick.choice];
    const Channel& channel = setup_.model.channels[c.channel];
    const BalanceTrial& run = tried_[before].trial;
    SizeChange out{channel.name,
                   channel.role,
                   c.depth,
                   c.present,
                   pick.size,
                   run.figures,
                   tried_[after].trial.figures,
                   tried_[after].forecast};
    if (!run.network || out.forecast >= 0.0) return out;
    std::vector<SizeFactors> step = factors(tried_[after].picks);
    const std::vector<SizeFactors> from = factors(tried_[before].picks);
    for (std::size_t k = 0; k < step.size(); ++k) {
      step[k].width /= from[k].width;
      step[k].depth /= from[k].depth;
    }
    out.forecast = run.network->figures(step).spread;
    return out;
  }

  const Setup& setup_;
  const BalanceTrial& present_;
  const std::vector<SizeChoice>& choices_;
  const BalanceRules& rules_;
  const TrySizes& run_;
  const FindSettings& settings_;
  std::vector<Tried> tried_;
  std::size_t best_ = 0;
  double forecast_ = -1.0;
};

}  // namespace

BalanceTrial balance_trial(const Setup& setup, const Result& run, const FillRecord& record) {
  BalanceTrial trial;
  trial.fills = std::all_of(run.parts.begin(), run.parts.end(), [](const PartResult& p) {
    return p.full >= 0.0 && p.nearly_full >= 0.0;
  });
  for (const PartResult& part : run.parts) trial.figures.nearly_full.push_back(part.nearly_full);
  trial.figures.spread = fill_time_spread(trial.figures.nearly_full).value_or(0.0);
  trial.figures.pressure = run.peak_pressure;
  for (const LineElement& line : setup.model.lines.span()) trial.figures.channels += volume(line);
  if (trial.fills) trial.network.emplace(setup, run, record);
  return trial;
}

BalanceFound find_sizes(const Setup& setup, const BalanceTrial& present,
                        const std::vector<SizeChoice>& choices, const BalanceRules& rules,
                        const TrySizes& run, const FindSettings& settings) {
  return Finder(setup, present, choices, rules, run, settings).find();
}

}  // namespace firstshot
