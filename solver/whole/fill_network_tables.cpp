// Making the network of a run: the tree of its channels, and tables over its record.
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <queue>

#include "mesh/error.hpp"
#include "solver/assess/balance_figures.hpp"
#include "solver/whole/fill_network.hpp"

namespace firstshot {
namespace {

/// Flow below this share of all that enters the parts says nothing of a resistance.
constexpr double least_flow = 1e-4;
constexpr double least_loss = 1.0;  ///< [Pa]

/// Values below 0 take the one before them, the first ones the one behind them.
void fill_gaps(std::vector<double>& values, double otherwise) {
  for (std::size_t k = 1; k < values.size(); ++k)
    if (values[k] < 0.0) values[k] = values[k - 1];
  for (std::size_t k = values.size(); k-- > 1;)
    if (values[k - 1] < 0.0) values[k - 1] = values[k];
  for (double& v : values)
    if (v < 0.0) v = otherwise;
}

/// Lines at each node, and the region whose mouth a node is.
struct Neighbours {
  std::map<std::size_t, std::vector<std::size_t>> lines;
  std::map<std::size_t, std::size_t> region;
  explicit Neighbours(const Model& model) {
    for (std::size_t k = 0; k < model.lines.size(); ++k) {
      const LineElement& e = model.lines[make_id<LineId>(k)];
      for (const NodeId end : {e.from, e.to}) lines[index(end)].push_back(k);
    }
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t)
      for (const VertexId v : model.mesh.triangles[make_id<TriId>(t)])
        region[index(model.node_of_vertex[v])] =
            static_cast<std::size_t>(model.mesh.region[make_id<TriId>(t)]);
  }
};

std::size_t other_end(const Model& model, std::size_t line, std::size_t node) {
  const LineElement& e = model.lines[make_id<LineId>(line)];
  return index(e.from) == node ? index(e.to) : index(e.from);
}

}  // namespace

FillNetwork::FillNetwork(const Setup& setup, const Result& run, const FillRecord& record)
    : material_(setup.material),
      temperature_(setup.process.melt_temperature),
      highest_(setup.process.injection_pressure_max) {
  for (const PartResult& part : run.parts) {
    if (part.full < 0.0 || part.nearly_full < 0.0)
      throw Error("part \"" + part.name +
                  "\" stays short, and only a frame whose parts all fill can be balanced: "
                  "raise the pressure or the speed, widen its gate, or let --gates look for a "
                  "place of another one");
    wanted_.push_back(nearly_full_share * part.volume);
  }
  read_tree(setup);
  for (std::size_t p = 0; p < run.parts.size(); ++p)
    if (std::none_of(leaves_.begin(), leaves_.end(), [&](const Leaf& l) { return l.part == p; }))
      throw Error("part \"" + run.parts[p].name +
                  "\" is not fed through runners and gates that are drawn as lines, so "
                  "its share of the melt cannot be changed by their sizes");
  const Rows flow = leaf_flows(record);
  read_means(record, flow);
  read_course(record, flow);
  read_resistances(record, flow);
}

void FillNetwork::read_tree(const Setup& setup) {
  const Model& model = setup.model;
  const Neighbours near(model);
  std::vector<std::size_t> part_of(model.regions.size(), 0);
  for (std::size_t r = 0, p = 0; r < model.regions.size(); ++r)
    if (model.regions[r].role == Role::part) part_of[r] = p++;
  std::vector<bool> seen(model.n_nodes(), false);
  std::queue<std::pair<std::size_t, int>> tips;  // node, branch that ends there
  tips.push({index(model.injection), -1});
  seen[index(model.injection)] = true;
  while (!tips.empty()) {
    const auto [node, before] = tips.front();
    tips.pop();
    if (const auto at = near.region.find(node); at != near.region.end()) {
      if (model.regions[at->second].role == Role::part && before >= 0)
        leaves_.push_back({part_of[at->second], static_cast<std::size_t>(before), 0.0, {}, {}});
      continue;
    }
    std::vector<std::size_t> onward;
    if (const auto lines = near.lines.find(node); lines != near.lines.end())
      for (const std::size_t k : lines->second)
        if (!seen[other_end(model, k, node)]) onward.push_back(k);
    for (const std::size_t k : onward) {
      const LineElement& e = model.lines[make_id<LineId>(k)];
      const auto channel = static_cast<std::size_t>(e.channel);
      const bool goes_on = before >= 0 && onward.size() == 1 &&
                           branches_[static_cast<std::size_t>(before)].channel == channel;
      if (!goes_on) {
        branches_.push_back({channel, node, node, k, {}, 0.0});
        parent_.push_back(before);
      }
      const int own = goes_on ? before : static_cast<int>(branches_.size()) - 1;
      Branch& branch = branches_[static_cast<std::size_t>(own)];
      branch.to = other_end(model, k, node);
      branch.line = k;
      branch.pieces.push_back({mix(e.start, e.end, 0.5),
                               e.length + setup.process.entrance_length * e.entrance_radius,
                               e.length});
      seen[branch.to] = true;
      tips.push({branch.to, own});
    }
  }
  for (const Leaf& leaf : leaves_) parent_.push_back(static_cast<int>(leaf.branch));
}

FillNetwork::Rows FillNetwork::leaf_flows(const FillRecord& record) {
  Rows flow;
  std::vector<double> before(wanted_.size(), 0.0);
  double time = 0.0;
  for (std::size_t k = 0; k < record.steps(); ++k) {
    std::vector<double> through(wanted_.size(), 0.0), count(wanted_.size(), 0.0);
    for (const Leaf& leaf : leaves_) {
      through[leaf.part] += record.flow[k][branches_[leaf.branch].line];
      count[leaf.part] += 1.0;
    }
    std::vector<double> row;
    for (const Leaf& leaf : leaves_) {
      const double part = std::max(0.0, record.melt[k][leaf.part] - before[leaf.part]);
      const double share = through[leaf.part] > 0.0
                               ? record.flow[k][branches_[leaf.branch].line] / through[leaf.part]
                               : 1.0 / count[leaf.part];
      row.push_back(share * part / (record.time[k] - time));
    }
    for (std::size_t p = 0; p < before.size(); ++p)
      before[p] = std::max(before[p], record.melt[k][p]);
    time = record.time[k];
    flow.push_back(std::move(row));
  }
  capacity_ = before;
  return flow;
}

void FillNetwork::read_means(const FillRecord& record, const Rows& flow) {
  std::vector<double> squares(branches_.size(), 0.0), sums(branches_.size(), 0.0);
  double time = 0.0;
  for (std::size_t k = 0; k < record.steps(); ++k) {
    const std::vector<double> q = branch_flows(flow[k]);
    for (std::size_t b = 0; b < branches_.size(); ++b) {
      sums[b] += q[b] * (record.time[k] - time);
      squares[b] += q[b] * q[b] * (record.time[k] - time);
    }
    time = record.time[k];
  }
  double weight = 0.0, weighted = 0.0;
  for (std::size_t b = 0; b < branches_.size(); ++b) {
    if (!(sums[b] > 0.0)) continue;
    branches_[b].flow = squares[b] / sums[b];
    for (const Piece& p : branches_[b].pieces) {
      const ChannelLoss l =
          channel_loss(material_, temperature_, p.section, p.length, branches_[b].flow, table_);
      weight += l.pressure;
      weighted += l.pressure * l.index;
    }
  }
  if (weight > 0.0) n_ = weighted / weight;
}

void FillNetwork::read_course(const FillRecord& record, const Rows& flow) {
  double melt = 0.0, time = 0.0;
  std::vector<bool> opened(leaves_.size(), false);
  for (std::size_t k = 0; k < record.steps(); ++k) {
    const double all = std::accumulate(flow[k].begin(), flow[k].end(), 0.0);
    const double dt = record.time[k] - time;
    if (melt == 0.0 && !(all > 0.0)) first_ = k + 1;
    if (melt == 0.0) start_ = time;
    for (std::size_t l = 0; l < leaves_.size(); ++l) {
      if (opened[l] || !(flow[k][l] > 0.0)) continue;
      opened[l] = true;
      leaves_[l].opens = melt;
    }
    melt += all * dt;
    time = record.time[k];
    if (!(melt > 0.0)) continue;
    melt_.push_back(melt);
    rate_.push_back(all);
    pressure_.push_back(record.injection[k]);
    by_pressure_.push_back(record.by_pressure[k]);
  }
}

std::vector<double> FillNetwork::branch_flows(const std::vector<double>& leaves) const {
  std::vector<double> flow(branches_.size(), 0.0);
  for (std::size_t l = 0; l < leaves_.size(); ++l)
    for (int b = static_cast<int>(leaves_[l].branch); b >= 0;
         b = parent_[static_cast<std::size_t>(b)])
      flow[static_cast<std::size_t>(b)] += leaves[l];
  return flow;
}

void FillNetwork::read_resistances(const FillRecord& record, const Rows& flow) {
  const auto place = [&](std::size_t node) {
    return static_cast<std::size_t>(
        std::lower_bound(record.nodes.begin(), record.nodes.end(), node) - record.nodes.begin());
  };
  const std::size_t steps = melt_.size();
  Rows columns(branches_.size(), std::vector<double>(steps, -1.0));
  std::vector<double> melt(capacity_.size(), 0.0);
  for (std::size_t row = 0; row < steps; ++row) {
    const std::size_t k = first_ + row;
    const std::vector<double> q = branch_flows(flow[k]);
    const double least = least_flow * rate_[row];
    for (std::size_t b = 0; b < branches_.size(); ++b) {
      const std::size_t from = place(branches_[b].from), to = place(branches_[b].to);
      if (!(q[b] > least) || !record.full[k][to]) continue;
      const double loss = record.pressure[k][from] - record.pressure[k][to];
      columns[b][row] = std::max(loss, least_loss) / std::pow(q[b], n_);
    }
    for (std::size_t l = 0; l < leaves_.size(); ++l) {
      Leaf& leaf = leaves_[l];
      if (!(flow[k][l] > least)) continue;
      const double mouth = record.pressure[k][place(branches_[leaf.branch].to)];
      leaf.volume.push_back(melt[leaf.part]);
      leaf.r.push_back(std::log(std::max(mouth, least_loss) / std::pow(flow[k][l], n_)));
    }
    for (std::size_t p = 0; p < melt.size(); ++p) melt[p] = std::max(melt[p], record.melt[k][p]);
  }
  resistance_.assign(steps, std::vector<double>(branches_.size(), closed));
  for (std::size_t b = 0; b < branches_.size(); ++b) {
    const Branch& branch = branches_[b];
    if (!(branch.flow > 0.0)) continue;
    double law = 0.0;
    for (const Piece& p : branch.pieces)
      law +=
          channel_loss(material_, temperature_, p.section, p.length, branch.flow, table_).pressure;
    fill_gaps(columns[b], std::max(law, least_loss) / std::pow(branch.flow, n_));
    for (std::size_t row = 0; row < steps; ++row) resistance_[row][b] = columns[b][row];
  }
}

}  // namespace firstshot
