// What a run tells of where its melt went: pressures at the ends of the channels and melt in the
// parts, step by step while the mould fills. The reduced network of balancing (fill_network.hpp) is
// made of it.
#pragma once

#include <vector>

#include "solver/whole/result.hpp"

namespace firstshot {

struct FillRecord {
  std::vector<std::size_t> nodes;  ///< of the model, at the ends of lines; rising
  // Per step:
  std::vector<double> time;                   ///< at its end [s]
  std::vector<double> injection;              ///< pressure at the injection point [Pa]
  std::vector<bool> by_pressure;              ///< the press held a pressure, not a speed
  std::vector<std::vector<double>> pressure;  ///< (steps, nodes) [Pa]
  std::vector<std::vector<bool>> full;        ///< (steps, nodes)
  std::vector<std::vector<double>> melt;      ///< (steps, parts) in the parts [m³]
  std::vector<std::vector<double>> flow;      ///< (steps, lines) amount along each line [m³/s]

  std::size_t steps() const { return time.size(); }
};

/// Listens to a run (Observer) and keeps what a FillRecord holds.
class FillRecorder {
 public:
  /// @param setup must outlive the recorder
  explicit FillRecorder(const Setup& setup);
  void see(const Snapshot& snapshot);
  const FillRecord& record() const { return record_; }

 private:
  /// Share of a control volume in a part.
  struct Piece {
    std::size_t part = 0;
    NodeId node{};
    double volume = 0.0;
  };
  FillRecord record_;
  std::vector<Piece> pieces_;
  std::size_t parts_ = 0;
  FillMode before_ = FillMode::speed;
};

}  // namespace firstshot
