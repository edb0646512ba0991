#include "solver/whole/balance_tree.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <queue>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

/// What a cavity takes of the pressure at least, so that the tree stays sound.
constexpr double least_part = 0.03;

const FlowPath* last_path(const Setup& setup, const Result& run) {
  const FlowPath* last = nullptr;
  double latest = -1.0;
  for (const FlowPath& path : run.paths) {
    const std::string& name = setup.model.regions[static_cast<std::size_t>(path.region)].name;
    for (const PartResult& part : run.parts)
      if (part.name == name && part.full > latest) {
        latest = part.full;
        last = &path;
      }
  }
  return last;
}

}  // namespace

TreeFlow tree_flow(const ResistanceTree& tree, double n, double total) {
  const std::size_t count = tree.parent.size();
  // Conductance (Q at 1 Pa) of what hangs on each branch, and of the branch with it.
  std::vector<double> beyond(count, 0.0), whole(count, 0.0);
  double root = 0.0;
  for (std::size_t k = count; k-- > 0;) {
    const double after = beyond[k] > 0.0 ? std::pow(beyond[k], -n) : 0.0;
    whole[k] = std::pow(tree.resistance[k] + after, -1.0 / n);
    (tree.parent[k] < 0 ? root : beyond[static_cast<std::size_t>(tree.parent[k])]) += whole[k];
  }
  TreeFlow out;
  out.flow.resize(count);
  for (std::size_t k = 0; k < count; ++k) {
    const int p = tree.parent[k];
    const double in = p < 0 ? total : out.flow[static_cast<std::size_t>(p)];
    out.flow[k] = in * whole[k] / (p < 0 ? root : beyond[static_cast<std::size_t>(p)]);
  }
  out.pressure = std::pow(total / root, n);
  return out;
}

ChannelLoss channel_loss(const Material& material, double temperature, const Section& section,
                         double length, double flow, SectionFlowTable& table) {
  const SectionFlow duct(section, table);
  const double D = duct.hydraulic_diameter();
  const double apparent = 8.0 * flow / (duct.area() * D);
  constexpr double step = 1.01;
  constexpr int rounds = 6;
  ChannelLoss out;
  double rate = apparent;
  for (int k = 0; k < rounds; ++k) {
    const double a = viscosity(material.viscosity, rate, temperature, 0.0);
    const double b = viscosity(material.viscosity, rate * step, temperature, 0.0);
    out.index = 1.0 + std::log(b / a) / std::log(step);
    rate = apparent * duct.shape(out.index);
  }
  const double stress = rate * viscosity(material.viscosity, rate, temperature, 0.0);
  out.pressure = 4.0 * stress / D * length;
  return out;
}

Section resized(const Section& section, double w, double d) {
  Section s = section;
  if (auto* round = std::get_if<RoundSection>(&s)) round->diameter *= w;
  if (auto* half = std::get_if<HalfRoundSection>(&s)) half->diameter *= w;
  if (auto* trapezoid = std::get_if<TrapezoidSection>(&s)) {
    trapezoid->width *= w;
    trapezoid->depth *= d;
  }
  if (auto* box = std::get_if<RectangleSection>(&s)) {
    box->width *= w;
    box->depth *= d;
  }
  return s;
}

BalanceTree::BalanceTree(const Setup& setup, const Result& run)
    : material_(setup.material), temperature_(setup.process.melt_temperature) {
  for (const PartResult& part : run.parts)
    if (part.full < 0.0)
      throw Error("part \"" + part.name +
                  "\" stays short, and only a frame whose parts all fill can be balanced: "
                  "raise the pressure or the speed, or widen its gate first");
  read_tree(setup, run);
  calibrate(setup, run);
}

void BalanceTree::read_tree(const Setup& setup, const Result& run) {
  const Model& model = setup.model;
  std::map<std::size_t, std::vector<std::size_t>> lines_at;
  for (std::size_t k = 0; k < model.lines.size(); ++k)
    for (const NodeId end :
         {model.lines[make_id<LineId>(k)].from, model.lines[make_id<LineId>(k)].to})
      lines_at[index(end)].push_back(k);
  std::map<std::size_t, std::int32_t> region_at;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t)
    for (const VertexId v : model.mesh.triangles[make_id<TriId>(t)])
      region_at[index(model.node_of_vertex[v])] = model.mesh.region[make_id<TriId>(t)];
  std::vector<bool> seen(model.n_nodes(), false);
  std::queue<std::pair<std::size_t, int>> next;
  next.push({index(model.injection), -1});
  seen[index(model.injection)] = true;
  std::vector<std::pair<std::size_t, int>> mouths;  // region, branch
  while (!next.empty()) {
    const auto [node, branch] = next.front();
    next.pop();
    if (const auto region = region_at.find(node); region != region_at.end()) {
      mouths.push_back({static_cast<std::size_t>(region->second), branch});
      continue;
    }
    for (const std::size_t k : lines_at[node]) {
      const LineElement& e = model.lines[make_id<LineId>(k)];
      const std::size_t other = index(e.from) == node ? index(e.to) : index(e.from);
      if (seen[other]) continue;
      seen[other] = true;
      elements_.push_back({e.channel, mix(e.start, e.end, 0.5),
                           e.length + setup.process.entrance_length * e.entrance_radius, 0.0,
                           e.length});
      tree_.parent.push_back(branch);
      next.push({other, static_cast<int>(elements_.size()) - 1});
    }
  }
  for (std::size_t p = 0; p < run.parts.size(); ++p) {
    std::vector<int> branches;
    for (const auto& [region, branch] : mouths)
      if (model.regions[region].name == run.parts[p].name && branch >= 0)
        branches.push_back(branch);
    if (branches.empty())
      throw Error("part \"" + run.parts[p].name +
                  "\" is not fed through runners and gates that are drawn as lines, so "
                  "its share of the melt cannot be changed by their sizes");
    for (const int branch : branches) {
      leaves_.push_back(
          {p, elements_.size() + leaves_.size(), 1.0 / static_cast<double>(branches.size())});
      tree_.parent.push_back(branch);
    }
  }
}

void BalanceTree::calibrate(const Setup& setup, const Result& run) {
  start_ = run.fill_time;
  for (const PartResult& part : run.parts) start_ = std::min(start_, part.first_melt);
  for (const PartResult& part : run.parts) filling_.push_back(part.full - start_);
  for (const Leaf& leaf : leaves_)
    base_.push_back(leaf.share * run.parts[leaf.part].volume / filling_[leaf.part]);
  total_ = std::accumulate(base_.begin(), base_.end(), 0.0);
  std::vector<double> flow(tree_.parent.size(), 0.0);
  for (std::size_t k = 0; k < leaves_.size(); ++k)
    for (int b = tree_.parent[leaves_[k].branch]; b >= 0;
         b = tree_.parent[static_cast<std::size_t>(b)])
      flow[static_cast<std::size_t>(b)] += base_[k];
  std::vector<double> loss(elements_.size(), 0.0);
  double weight = 0.0, weighted = 0.0;
  for (std::size_t k = 0; k < elements_.size(); ++k) {
    elements_[k].flow = flow[k];
    if (!(flow[k] > 0.0)) continue;
    const ChannelLoss l = channel_loss(material_, temperature_, elements_[k].section,
                                       elements_[k].length, flow[k], table_);
    loss[k] = l.pressure;
    weight += l.pressure;
    weighted += l.pressure * l.index;
  }
  if (weight > 0.0) n_ = weighted / weight;
  std::vector<double> way(leaves_.size(), 0.0);
  double longest = 0.0, last_way = 0.0;
  const FlowPath* last = last_path(setup, run);
  for (std::size_t k = 0; k < leaves_.size(); ++k) {
    for (int b = tree_.parent[leaves_[k].branch]; b >= 0;
         b = tree_.parent[static_cast<std::size_t>(b)])
      way[k] += loss[static_cast<std::size_t>(b)];
    longest = std::max(longest, way[k]);
    if (last != nullptr && run.parts[leaves_[k].part].name ==
                               setup.model.regions[static_cast<std::size_t>(last->region)].name)
      last_way = std::max(last_way, way[k]);
  }
  if (last != nullptr && last_way > 0.0) {
    const double seen = last->sprue + last->runners + last->gates;
    if (seen > 0.0) factor_ = seen / last_way;
  }
  const double most = (1.0 - least_part) * run.peak_pressure;
  if (longest > 0.0) factor_ = std::min(factor_, most / longest);
  tree_.resistance.resize(tree_.parent.size());
  for (std::size_t k = 0; k < leaves_.size(); ++k)
    tree_.resistance[leaves_[k].branch] =
        (run.peak_pressure - factor_ * way[k]) / std::pow(base_[k], n_);
}

double BalanceTree::resistance(const Element& e, const SizeFactors& f) const {
  if (!(e.flow > 0.0)) return 1e300;  // leads nowhere
  const ChannelLoss l = channel_loss(material_, temperature_, resized(e.section, f.width, f.depth),
                                     e.length, e.flow, table_);
  return factor_ * l.pressure / std::pow(e.flow, n_);
}

BalanceFigures BalanceTree::figures(const std::vector<SizeFactors>& factors) const {
  ResistanceTree tree = tree_;
  BalanceFigures out;
  for (std::size_t k = 0; k < elements_.size(); ++k) {
    const SizeFactors& f = factors[static_cast<std::size_t>(elements_[k].channel)];
    tree.resistance[k] = resistance(elements_[k], f);
    out.channels += area(resized(elements_[k].section, f.width, f.depth)) * elements_[k].drawn;
  }
  const TreeFlow flow = tree_flow(tree, n_, total_);
  out.pressure = flow.pressure;
  std::vector<double> before(filling_.size(), 0.0), now(filling_.size(), 0.0);
  for (std::size_t k = 0; k < leaves_.size(); ++k) {
    before[leaves_[k].part] += base_[k];
    now[leaves_[k].part] += flow.flow[leaves_[k].branch];
  }
  double first = 0.0, last = 0.0;
  for (std::size_t p = 0; p < filling_.size(); ++p) {
    out.full.push_back(start_ + filling_[p] * before[p] / now[p]);
    first = p == 0 ? out.full[p] : std::min(first, out.full[p]);
    last = std::max(last, out.full[p]);
  }
  out.spread = last - first;
  return out;
}

}  // namespace firstshot
