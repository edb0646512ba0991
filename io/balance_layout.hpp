// Other sizes and more vents in the layout of a case.
#pragma once

#include <vector>

#include "io/case.hpp"
#include "solver/whole/balance_search.hpp"

namespace firstshot {

/// @throws Error the case is a solid, whose channels are in its CAD file
void need_drawn_channels(const Case& c);

/// The case with runners and gates of other sizes. @param factors one per channel of the model,
/// which bears the names of the layout @throws Error when the case has no layout
Case resized_case(const Case& c, const Model& model, const std::vector<SizeFactors>& factors);

/// The case with one vent more. @param vent in the cavity [m]
Case vented_case(const Case& c, const VentProposal& vent);

}  // namespace firstshot
