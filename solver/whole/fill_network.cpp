#include "solver/whole/fill_network.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace firstshot {
namespace {

constexpr double rounding = 1e-9;  ///< of a volume

}  // namespace

template <class T>
struct FillNetwork::Moment {
  T time = 0.0, melt = 0.0, pressure = 0.0;  // so far; S; highest so far
  std::size_t row = 0;                       // of the tables
  std::vector<T> volume, nearly_full;        // of each part; when it was [s]
  std::vector<bool> nearly;                  // it is
};

/// Those whose part has room and that melt has reached; the next one when there is none.
template <class T>
std::vector<bool> FillNetwork::open_leaves(const Moment<T>& now) const {
  std::vector<bool> open(leaves_.size(), false);
  std::size_t next = leaves_.size();
  bool any = false;
  for (std::size_t l = 0; l < leaves_.size(); ++l) {
    const Leaf& leaf = leaves_[l];
    if (plain(now.volume[leaf.part]) >= (1.0 - rounding) * capacity_[leaf.part]) continue;
    open[l] = plain(now.melt) >= leaf.opens - rounding * melt_.back();
    any = any || open[l];
    if (next == leaves_.size() || leaf.opens < leaves_[next].opens) next = l;
  }
  if (!any && next < leaves_.size()) open[next] = true;
  return open;
}

template <class T>
T FillNetwork::leaf_resistance(const Leaf& leaf, const Moment<T>& now) const {
  using std::exp;
  const T& volume = now.volume[leaf.part];
  const auto above = std::upper_bound(leaf.volume.begin(), leaf.volume.end(), plain(volume));
  const auto k = static_cast<std::size_t>(above - leaf.volume.begin());
  if (k == 0) return T(std::exp(leaf.r.front()));
  if (k == leaf.volume.size()) return T(std::exp(leaf.r.back()));
  const double width = leaf.volume[k] - leaf.volume[k - 1];
  const T w = (volume - T(leaf.volume[k - 1])) * T(1.0 / width);
  return exp(T(leaf.r[k - 1]) + w * T(leaf.r[k] - leaf.r[k - 1]));
}

/// One step, to where a table goes on or a part is full.
template <class T>
void FillNetwork::advance(Moment<T>& now, const std::vector<T>& ratios) const {
  using std::pow;
  const std::size_t last = melt_.size() - 1;
  while (now.row < last && plain(now.melt) >= melt_[now.row] * (1.0 - rounding)) ++now.row;
  const std::vector<bool> open = open_leaves(now);
  ResistanceTree<T> tree{parent_, {}};
  for (std::size_t b = 0; b < branches_.size(); ++b)
    tree.resistance.push_back(T(resistance_[now.row][b]) * ratios[b]);
  for (std::size_t l = 0; l < leaves_.size(); ++l)
    tree.resistance.push_back(open[l] ? leaf_resistance(leaves_[l], now) : T(closed));
  const TreeFlow<T> flow = tree_flow(tree, n_);
  T pressure = pow(T(rate_[now.row]) / flow.conductance, n_), total = rate_[now.row];
  const double most = by_pressure_[now.row] ? pressure_[now.row] : highest_;
  if (by_pressure_[now.row] || (most > 0.0 && plain(pressure) > most)) {
    pressure = most;
    total = flow.conductance * pow(pressure, 1.0 / n_);
  }
  if (plain(pressure) > plain(now.pressure)) now.pressure = pressure;
  std::vector<T> into(capacity_.size(), T(0.0));
  for (std::size_t l = 0; l < leaves_.size(); ++l)
    if (open[l]) into[leaves_[l].part] += flow.share[branches_.size() + l] * total;
  T dt = (now.row < last ? T(melt_[now.row]) - now.melt : T(melt_.back() / 100.0)) / total;
  std::size_t full = capacity_.size();
  for (std::size_t p = 0; p < capacity_.size(); ++p) {
    if (!(plain(into[p]) > 0.0)) continue;
    const T needs = (T(capacity_[p]) - now.volume[p]) / into[p];
    if (plain(needs) > plain(dt)) continue;
    dt = needs;
    full = p;
  }
  for (std::size_t p = 0; p < capacity_.size(); ++p) {
    const T volume = p == full ? T(capacity_[p]) : now.volume[p] + into[p] * dt;
    if (!now.nearly[p] && plain(volume) >= wanted_[p]) {
      now.nearly_full[p] = now.time + (T(wanted_[p]) - now.volume[p]) / into[p];
      now.nearly[p] = true;
    }
    now.volume[p] = volume;
  }
  now.melt += total * dt;
  now.time += dt;
}

template <class T>
FillNetwork::Moment<T> FillNetwork::fill(const std::vector<T>& ratios) const {
  Moment<T> now;
  now.time = start_;
  now.volume.resize(capacity_.size(), T(0.0));
  now.nearly_full.resize(capacity_.size(), T(0.0));
  now.nearly.resize(capacity_.size(), false);
  const std::size_t most = 20 * (melt_.size() + capacity_.size());
  for (std::size_t k = 0; k < most; ++k) {
    if (std::all_of(now.nearly.begin(), now.nearly.end(), [](bool b) { return b; })) return now;
    advance(now, ratios);
  }
  for (std::size_t p = 0; p < now.nearly.size(); ++p)
    if (!now.nearly[p]) now.nearly_full[p] = now.time;
  return now;
}

double FillNetwork::ratio(const Branch& branch, const SizeFactors& f) const {
  if (f == SizeFactors{} || !(branch.flow > 0.0)) return 1.0;
  double as_it_is = 0.0, changed = 0.0;
  for (const Piece& p : branch.pieces) {
    as_it_is +=
        channel_loss(material_, temperature_, p.section, p.length, branch.flow, table_).pressure;
    changed +=
        channel_loss(material_, temperature_, resized(p.section, f), p.length, branch.flow, table_)
            .pressure;
  }
  return as_it_is > 0.0 ? changed / as_it_is : 1.0;
}

BalanceFigures FillNetwork::figures(const std::vector<SizeFactors>& factors) const {
  BalanceFigures out;
  std::vector<double> ratios;
  for (const Branch& b : branches_) {
    ratios.push_back(ratio(b, factors[b.channel]));
    for (const Piece& p : b.pieces)
      out.channels += area(resized(p.section, factors[b.channel])) * p.drawn;
  }
  const Moment<double> end = fill(ratios);
  out.nearly_full = end.nearly_full;
  out.pressure = end.pressure;
  const auto [first, last] = std::minmax_element(out.nearly_full.begin(), out.nearly_full.end());
  if (first != out.nearly_full.end()) out.spread = *last - *first;
  return out;
}

BalanceSlopes FillNetwork::slopes(const std::vector<SizeFactors>& factors, std::size_t channel,
                                  bool of_width, bool of_depth) const {
  constexpr double step = 1e-3;  // of a size: sections' tables are smooth over it
  std::vector<Dual> ratios;
  for (const Branch& b : branches_) {
    const SizeFactors& f = factors[b.channel];
    Dual r = ratio(b, f);
    if (b.channel == channel) {
      const auto at = [&](double by) {
        return ratio(b, {f.width * (of_width ? by : 1.0), f.depth * (of_depth ? by : 1.0)});
      };
      r.slope = (at(1.0 + step) - at(1.0 - step)) / (2.0 * step);
    }
    ratios.push_back(r);
  }
  const Moment<Dual> end = fill(ratios);
  const auto [first, last] =
      std::minmax_element(end.nearly_full.begin(), end.nearly_full.end(),
                          [](const Dual& a, const Dual& b) { return a.value < b.value; });
  if (first == end.nearly_full.end()) return {};
  return {last->slope - first->slope, end.pressure.slope};
}

}  // namespace firstshot
