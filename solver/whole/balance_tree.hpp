// A frame as a tree of resistances, for balancing: what each channel takes, what each cavity takes,
// and which share of the melt goes where. Cheap enough to try hundreds of sizes; a full run says
// afterwards what they are worth.
//
//   Δp = R Q^n in every channel and cavity, all with one n; in a row R adds up, side by side
//   R^(-1/n) does
//
// R of a channel: its section's law at its present flow (flow/section_flow.hpp) at melt
// temperature, times one factor for all so that the way to the last cavity loses what it lost in
// the run; n: slope of the melt's law, weighted by the pressure lost. R of a cavity: what makes its
// share of the flow that of the run. Where channels close a ring, the last side is left out.
#pragma once

#include <vector>

#include "solver/flow/section_flow.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Branches with their parents before them; -1: at the root.
struct ResistanceTree {
  std::vector<int> parent;
  std::vector<double> resistance;  ///< R [Pa (s/m³)^n] ≥ 0
};
struct TreeFlow {
  std::vector<double> flow;  ///< of each branch [m³/s]
  double pressure = 0.0;     ///< at the root [Pa]
};
/// Flows when `total` [m³/s] enters at the root and all ends are at pressure 0. @param n > 0
TreeFlow tree_flow(const ResistanceTree& tree, double n, double total);

/// Loss of a straight channel [Pa] and the slope of the law there.
struct ChannelLoss {
  double pressure = 0.0;
  double index = 1.0;
};
ChannelLoss channel_loss(const Material& material, double temperature, const Section& section,
                         double length, double flow, SectionFlowTable& table);

/// A section with other measures; round ones take the first factor only.
Section resized(const Section& section, double width_factor, double depth_factor);

struct SizeFactors {
  double width = 1.0, depth = 1.0;
};

struct BalanceFigures {
  std::vector<double> full;  ///< when each part is full, in the order of Result::parts [s]
  double spread = 0.0;       ///< first to last of them [s]
  double pressure = 0.0;     ///< at the injection point [Pa]
  double channels = 0.0;     ///< volume of the channels [m³]
};

class BalanceTree {
 public:
  /// @param run a run of `setup` whose parts are all full
  /// @throws Error when a part is not fed by channels that are lines, or is not full
  BalanceTree(const Setup& setup, const Result& run);

  /// Estimate for other sizes. @param factors one per channel of the model, against its sizes
  BalanceFigures figures(const std::vector<SizeFactors>& factors) const;
  double flow_index() const { return n_; }

 private:
  struct Element {
    int channel = 0;
    Section section;
    double length = 0.0, flow = 0.0, drawn = 0.0;  // with entrance loss; of the run; as drawn
  };
  struct Leaf {
    std::size_t part = 0, branch = 0;
    double share = 1.0;  // of the part's volume
  };
  void read_tree(const Setup& setup, const Result& run);
  void calibrate(const Setup& setup, const Result& run);
  double resistance(const Element& e, const SizeFactors& f) const;

  Material material_;
  double temperature_ = 0.0, n_ = 0.3, total_ = 0.0, factor_ = 1.0, start_ = 0.0;
  std::vector<Element> elements_;  // in the order of the first branches of the tree
  ResistanceTree tree_;            // elements, then one branch per leaf
  std::vector<Leaf> leaves_;
  std::vector<double> filling_;  // (n_parts) of the run [s]
  std::vector<double> base_;     // (n_leaves) flow of the run [m³/s]
  mutable SectionFlowTable table_;
};

}  // namespace firstshot
