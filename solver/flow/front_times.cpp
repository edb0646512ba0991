#include "solver/flow/front_times.hpp"

#include <algorithm>
#include <vector>

namespace firstshot {
namespace {

constexpr double half = 0.5;

/// Melt that came along one edge, evenly from `begin` to the end of the step.
struct Stream {
  double begin = 0.0;   ///< [s] since the step began
  double volume = 0.0;  ///< [m³]
};

/// What came into a control volume, the earliest stream first.
void gather(const ControlVolumes& volumes, const FrontPassage& step,
            const std::vector<double>& since, std::size_t node, std::vector<Stream>& streams) {
  streams.clear();
  if (node == step.inlet) streams.push_back({0.0, step.inlet_flow * step.dt});
  for (const Neighbour& n : volumes.around(node)) {
    const double in = -n.sign * step.flux[static_cast<std::size_t>(n.edge)] * step.dt;
    if (in > 0.0) streams.push_back({since[static_cast<std::size_t>(n.node)], in});
  }
  std::stable_sort(streams.begin(), streams.end(),
                   [](const Stream& a, const Stream& b) { return a.begin < b.begin; });
}

/// When the streams have brought the volume `wanted`, at most dt [s].
double time_of(const std::vector<Stream>& streams, double wanted, double dt) {
  double rate = 0.0, missed = 0.0;  // volume at t is rate t - missed
  for (std::size_t k = 0; k < streams.size(); ++k) {
    const double left = dt - streams[k].begin;
    if (!(left > 0.0)) break;
    rate += streams[k].volume / left;
    missed += streams[k].volume / left * streams[k].begin;
    const double t = rate > 0.0 ? (wanted + missed) / rate : dt;
    const double next = k + 1 < streams.size() ? streams[k + 1].begin : dt;
    if (t <= next) return std::clamp(t, 0.0, dt);
  }
  return dt;
}

}  // namespace

void note_front_times(const ControlVolumes& volumes, const FrontPassage& step,
                      std::span<double> arrival, std::span<double> full) {
  const auto passed = [&](std::size_t i, double level) {
    return step.fill_before[i] < level && step.fill_after[i] >= level;
  };
  std::vector<std::size_t> reached;
  for (std::size_t i = 0; i < arrival.size(); ++i)
    if (passed(i, half) || passed(i, 1.0)) reached.push_back(i);
  std::stable_sort(reached.begin(), reached.end(), [&](std::size_t a, std::size_t b) {
    return step.pressure[a] > step.pressure[b];
  });
  std::vector<double> since(arrival.size(), 0.0);  // full since, from the beginning of the step [s]
  std::vector<Stream> streams;
  for (const std::size_t i : reached) {
    gather(volumes, step, since, i, streams);
    const auto time = [&](double level) {
      return time_of(streams, volumes.volume[i] * (level - step.fill_before[i]), step.dt);
    };
    if (passed(i, half) && arrival[i] < 0.0) arrival[i] = step.begin + time(half);
    if (!passed(i, 1.0)) continue;
    since[i] = time(1.0);
    full[i] = step.begin + since[i];
  }
}

}  // namespace firstshot
