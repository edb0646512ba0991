// Colour scales for fields: even steps of a value look like even steps of colour, lightness only
// rises, and they can be told apart with colour-blind eyes and in grey print.
//
// viridis, inferno, magma: N. Smith and S. van der Walt, 2015, given to the public (CC0).
// cividis: Nuñez, Anderton, Renslow, PLoS ONE 13 (2018) e0199239. (Both from memory, unconfirmed.)
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

namespace firstshot {

struct ColourScale {
  std::string_view name;
  std::array<std::uint32_t, 33> stops;  ///< evenly spaced, 0xRRGGBB in sRGB, dark to light
};

/// All scales.
std::span<const ColourScale> colour_scales();
/// The scale of that name; the first one when there is none.
const ColourScale& colour_scale(std::string_view name);

/// Colour at t in 0 … 1 (clamped), red, green, blue in 0 … 1, linear between stops.
std::array<double, 3> colour_at(const ColourScale& scale, double t);

}  // namespace firstshot
