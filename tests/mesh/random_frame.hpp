// Frames drawn by dice, for tests of what must hold for any frame.
#pragma once

#include "mesh/image.hpp"
#include "mesh/layout.hpp"

namespace firstshot::test {

/// Parts on both sides of a runner, each with a gate to the nearest place of its outline. Some have
/// holes, steps or arcs; some seeds draw a frame that build_model refuses.
Layout random_frame(unsigned seed);

/// The whole frame mirrored, turned and moved.
Layout transformed_frame(const Layout& layout, Image image);

}  // namespace firstshot::test
