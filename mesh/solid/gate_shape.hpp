// Width, depth and length of the neck between two pieces, and the cuts that bound it.
#pragma once

#include <optional>

#include "mesh/solid/roles.hpp"

namespace firstshot {

/// Walks from the neck square to its width in both directions while the section stays within 1.3
/// times the smallest. `towards` is a place on the side of the part.
/// @returns nothing where no two walls face each other at the neck
std::optional<GateShape> gate_at(const RoleInput& in, const Neck& neck, bool part_is_b);

}  // namespace firstshot
