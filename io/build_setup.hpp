// Case + the files it names → Setup: geometry meshed, cards read, every open value filled in,
// settings checked against the card and the press.
//
// Blend. Regrind and masterbatch shift the melt flow rate by the logarithmic rule
// log MFR = Σ w_i log MFR_i [Nielsen1977] (second-hand, unconfirmed; for ratios up to about 3), and
// viscosity at equal stress goes as 1/MFR.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "io/card_folders.hpp"
#include "io/case.hpp"
#include "io/filled_in.hpp"
#include "mesh/solid/build_solid_model.hpp"
#include "solver/setup.hpp"

namespace firstshot {

using BuildProgress = std::function<void(const std::string& step, double share)>;

struct BuiltSetup {
  Setup setup;
  Case resolved;                   ///< the case with every open value filled in
  std::string material_card_text;  ///< for write_resolved_case
  std::string press_card_text;
  std::optional<SolidReport> solid;  ///< what was found in a solid
  std::vector<std::string>
      notes;  ///< settings that the press cannot follow, assumptions; one sentence each
};

/// @throws CaseError a card is not there or not valid
Cards read_cards(const Case& c, const CardFolders& folders);

/// @throws CaseError a setting outside the range of card or press @throws GeometryError with the
/// place
/// @param progress told what is being made of a solid and the share done, 0 to 1
BuiltSetup build_setup(const Case& c, const Cards& cards, const BuildProgress& progress = {});
BuiltSetup build_setup(const Case& c, const CardFolders& folders,
                       const BuildProgress& progress = {});

/// Melt flow rate of the blend over that of fresh material [-].
double blend_flow_ratio(const CaseMaterial& material);

}  // namespace firstshot
