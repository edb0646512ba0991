// Why the front closed around air inside a face, and which thickness or gate would move the air.
//
// The ways of the melt are followed back from all around the air to where they entered the part.
// The longest of them came around. Behind one pressure a front in a strip comes as far as its wall
// is thick, L ~ h, for Newtonian and for power-law melt (closed forms in
// tests/verify/test_front.cpp, same p and t). So melt that goes straight on over the air to the
// nearest edge keeps up with the way around, as far as that edge, when
//   wall / (shortest way + distance) = thickest wall on the way around / (longest way - distance).
// An estimate: ways are followed from node to node, the pressures at their ends differ.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/stage/state.hpp"

namespace firstshot {

struct TrapCause {
  std::vector<std::string>
      gates;            ///< through which the melt around it came; the shortest way first
  double wall = 0.0;    ///< where the air was last [m]
  double around = 0.0;  ///< thickest wall on the longest way [m]
  double shortest = 0.0, longest = 0.0;  ///< ways within the part [m]
  /// With a wall of this the melt would drive the air to the edge [m]; none when the wall is even,
  /// or when melt from several gates closes around it.
  std::optional<double> wall_needed;
};

/// @param pocket number of the pocket, whose last place is on a mesh
/// @param to_edge from that place to the nearest outer edge [m]
TrapCause trap_cause(const Setup& setup, const State& state, std::size_t pocket, double to_edge);

/// "its wall of ... lets ...": what to change, one part of a sentence.
std::string trap_words(const TrapCause& cause);

}  // namespace firstshot
