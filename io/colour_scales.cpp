#include "io/colour_scales.hpp"

#include <algorithm>

namespace firstshot {
namespace {

constexpr std::array<ColourScale, 4> scales{{
    {"viridis",
     {0x440154, 0x470d60, 0x48186a, 0x482374, 0x472d7b, 0x453781, 0x424086, 0x3e4989, 0x3b528b,
      0x375b8d, 0x33638d, 0x2f6b8e, 0x2c728e, 0x297a8e, 0x26828e, 0x23898e, 0x21918c, 0x1f988b,
      0x1fa088, 0x22a785, 0x28ae80, 0x32b67a, 0x3fbc73, 0x4ec36b, 0x5ec962, 0x70cf57, 0x84d44b,
      0x98d83e, 0xaddc30, 0xc2df23, 0xd8e219, 0xece51b, 0xfde725}},
    {"cividis",
     {0x002051, 0x00265d, 0x012b65, 0x083169, 0x11366c, 0x1c3c6e, 0x26426e, 0x31476e, 0x3c4d6e,
      0x47536d, 0x51586e, 0x5a5e6e, 0x62646f, 0x6a6a70, 0x727071, 0x797673, 0x7f7c75, 0x868276,
      0x8c8877, 0x938e78, 0x9a9478, 0xa19b78, 0xa9a177, 0xb2a874, 0xbbaf71, 0xc5b66d, 0xcebd68,
      0xd8c462, 0xe2cb5c, 0xebd355, 0xf3da4f, 0xfae249, 0xfdea45}},
    {"inferno",
     {0x000004, 0x040312, 0x0b0724, 0x150b37, 0x210c4a, 0x2f0a5b, 0x3d0965, 0x4a0c6b, 0x57106e,
      0x64156e, 0x71196e, 0x7d1e6d, 0x8a226a, 0x972766, 0xa32c61, 0xb0315b, 0xbc3754, 0xc73e4c,
      0xd24644, 0xdb503b, 0xe45a31, 0xeb6628, 0xf1731d, 0xf68013, 0xf98e09, 0xfb9d07, 0xfcac11,
      0xfbbc21, 0xf9cb35, 0xf5db4c, 0xf2ea69, 0xf3f68a, 0xfcffa4}},
    {"magma",
     {0x000004, 0x030312, 0x0a0822, 0x130d34, 0x1d1147, 0x29115a, 0x36106b, 0x440f76, 0x51127c,
      0x5d177f, 0x6a1c81, 0x762181, 0x832681, 0x902a81, 0x9c2e7f, 0xaa337d, 0xb73779, 0xc43c75,
      0xd0416f, 0xdc4869, 0xe75263, 0xef5d5e, 0xf56b5c, 0xf9795d, 0xfc8961, 0xfd9869, 0xfea772,
      0xfeb67c, 0xfec488, 0xfed395, 0xfde2a3, 0xfcf0b2, 0xfcfdbf}},
}};

}  // namespace

std::span<const ColourScale> colour_scales() { return scales; }

const ColourScale& colour_scale(std::string_view name) {
  const auto* found = std::find_if(scales.begin(), scales.end(),
                                   [&](const ColourScale& s) { return s.name == name; });
  return found == scales.end() ? scales.front() : *found;
}

std::array<double, 3> colour_at(const ColourScale& scale, double t) {
  const double place = std::clamp(t, 0.0, 1.0) * static_cast<double>(scale.stops.size() - 1);
  const std::size_t i = std::min(static_cast<std::size_t>(place), scale.stops.size() - 2);
  const double share = place - static_cast<double>(i);
  std::array<double, 3> out{};
  for (std::size_t k = 0; k < 3; ++k) {
    const unsigned int shift = 16U - 8U * static_cast<unsigned int>(k);
    const auto part = [&](std::size_t stop) {
      return static_cast<double>((scale.stops[stop] >> shift) & 255U) / 255.0;
    };
    out[k] = (1.0 - share) * part(i) + share * part(i + 1);
  }
  return out;
}

}  // namespace firstshot
