// Where the gap around an ejector pin opens into the cavity: the rim of the pin's face, arc by arc
// over the control volumes that it lies on.
//
// The gap is a slit as long as the arc and as deep as the clearance (the pin stands in the middle
// of its bore; one that leans to a side passes up to 2.5 times as much, from memory, unconfirmed).
// An arc opens into a control volume and is closed when melt fills that one.
#pragma once

#include <cstddef>
#include <vector>

#include "solver/setup.hpp"

namespace firstshot {

struct PinArc {
  std::size_t node = 0;
  double length = 0.0;  ///< of the pin's rim [m]
};

/// Arcs of one pin, sorted by node, each node once. What lies beside the melt, in a hole or over a
/// rim, is left out. @throws GeometryError with the place when the pin lies on no part and no
/// channel, or when diameter, clearance or land is not above 0
std::vector<PinArc> pin_arcs(const Model& model, const EjectorPin& pin);

}  // namespace firstshot
