// Channels with other measures: what they take of the pressure, and how large they are.
#pragma once

#include "mesh/section.hpp"
#include "solver/flow/section_flow.hpp"
#include "solver/material/material.hpp"

namespace firstshot {

/// Loss of a straight channel [Pa] and the slope of the law there.
struct ChannelLoss {
  double pressure = 0.0;
  double index = 1.0;
};
/// @param temperature [K], length [m], flow [m³/s] > 0
ChannelLoss channel_loss(const Material& material, double temperature, const Section& section,
                         double length, double flow, SectionFlowTable& table);

struct SizeFactors {
  double width = 1.0, depth = 1.0;
  bool operator==(const SizeFactors&) const = default;
};

/// A section with other measures; round ones take the factor of the width only.
Section resized(const Section& section, const SizeFactors& factors);

}  // namespace firstshot
