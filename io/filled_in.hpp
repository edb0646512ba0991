// Open values of a case that need no mesh, from the accuracy level, the cards and the defaults.
#pragma once

#include <string>

#include "io/case.hpp"
#include "solver/setup.hpp"

namespace firstshot {

/// The cards a case names, with their text as it was read.
struct Cards {
  Material material;
  Press press;
  std::string material_text;
  std::string press_text;  ///< empty when the case names no press card
};

/// The press of the card with the values of the case before it.
Press press_of(const CasePress& written, const Press& card);

/// The case with every open value filled in that needs no mesh: accuracy, press, ejection.
Case filled_in(const Case& c, const Cards& cards);

/// The accuracy with the open values of its level filled in.
CaseAccuracy resolved_accuracy(const CaseAccuracy& written);

}  // namespace firstshot
