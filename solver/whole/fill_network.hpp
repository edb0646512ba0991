// A frame as a network that fills in a millisecond, for balancing: hundreds of sizes are tried on
// it, and a full run says afterwards what the best of them are worth.
//
//   Δp = R(S) Q^n in each channel,  p = r(V) Q^n at the mouth of each part,  dV/dt = Q
//
// with the melt V in a part and S in all of them. R, r and the flow into the parts (or, where the
// press holds a pressure, that pressure) are tables over S and V of one recorded run, so the
// network repeats that run; n is the slope of the melt's law, weighted by the pressure lost.
// Another size changes R by the law of its section at the flow of the run. So a part that is full
// sooner gives its melt to the others, as in the mould. Left out: what another size holds itself,
// and melt that cools more or less on another way. Where channels close a ring, the last side is
// left out. Each full run makes a new network, so that forecast and run agree again.
#pragma once

#include <vector>

#include "solver/whole/channel_sizes.hpp"
#include "solver/whole/fill_record.hpp"
#include "solver/whole/tree_flow.hpp"

namespace firstshot {

struct BalanceFigures {
  /// When each part is nearly full (nearly_full_share), in the order of Result::parts [s].
  std::vector<double> nearly_full;
  double spread = 0.0;    ///< first to last of them [s]
  double pressure = 0.0;  ///< highest at the injection point [Pa]
  double channels = 0.0;  ///< volume of the channels [m³]
};
/// Change per relative change of a size.
struct BalanceSlopes {
  double spread = 0.0;    ///< [s]
  double pressure = 0.0;  ///< [Pa]
};

class FillNetwork {
 public:
  /// @param run a run of `setup` whose parts are all full, and its record
  /// @throws Error when a part is not fed by channels that are lines, or is not full
  FillNetwork(const Setup& setup, const Result& run, const FillRecord& record);

  /// Forecast for other sizes. @param factors one per channel of the model, against its sizes
  BalanceFigures figures(const std::vector<SizeFactors>& factors) const;
  /// d/d ln of one channel's width, or depth, or both.
  BalanceSlopes slopes(const std::vector<SizeFactors>& factors, std::size_t channel, bool width,
                       bool depth) const;
  double flow_index() const { return n_; }

 private:
  static constexpr double closed = 1e300;  // as a resistance: nothing passes
  struct Piece {
    Section section;
    double length = 0.0, drawn = 0.0;  // with entrance loss; as drawn [m]
  };
  struct Branch {
    std::size_t channel = 0, from = 0, to = 0, line = 0;  // nodes and last line of the model
    std::vector<Piece> pieces;
    double flow = 0.0;  // mean of the run [m³/s]; 0: it leads to no part
  };
  struct Leaf {
    std::size_t part = 0, branch = 0;
    double opens = 0.0;             // at this S [m³]
    std::vector<double> volume, r;  // of the part, rising [m³]; ln r
  };
  using Rows = std::vector<std::vector<double>>;
  template <class T>
  struct Moment;

  void read_tree(const Setup& setup);
  void read_course(const FillRecord& record, const Rows& flow);
  void read_means(const FillRecord& record, const Rows& flow);
  void read_resistances(const FillRecord& record, const Rows& flow);
  Rows leaf_flows(const FillRecord& record);
  std::vector<double> branch_flows(const std::vector<double>& leaves) const;
  /// R of a branch with other sizes against that of the run.
  double ratio(const Branch& branch, const SizeFactors& f) const;
  template <class T>
  Moment<T> fill(const std::vector<T>& ratios) const;
  template <class T>
  void advance(Moment<T>& now, const std::vector<T>& ratios) const;
  template <class T>
  T leaf_resistance(const Leaf& leaf, const Moment<T>& now) const;
  template <class T>
  std::vector<bool> open_leaves(const Moment<T>& now) const;

  Material material_;
  double temperature_ = 0.0, n_ = 0.3, highest_ = 0.0, start_ = 0.0;
  std::vector<Branch> branches_;
  std::vector<Leaf> leaves_;
  std::vector<int> parent_;                // branches, then leaves
  std::vector<double> capacity_, wanted_;  // (n_parts) melt at the end, nearly full [m³]
  // Per step with melt in the parts: S at its end [m³], its rate [m³/s], pressure of the press.
  std::vector<double> melt_, rate_, pressure_;
  std::vector<bool> by_pressure_;
  Rows resistance_;        // (steps, branches)
  std::size_t first_ = 0;  // step of the record that brings the first melt into a part
  mutable SectionFlowTable table_;
};

}  // namespace firstshot
