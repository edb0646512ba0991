// Paper for pictures: A4 across, drawn once onto a PNG and once onto a PDF. What sheets share:
// inks, letters, saving. Lengths in points of 1/72 inch, y downwards.
#pragma once

#include <array>
#include <filesystem>
#include <functional>
#include <string>

#include "mesh/tri_mesh.hpp"

typedef struct _cairo cairo_t;  // NOLINT: as cairo declares it

namespace firstshot {

using Rgb = std::array<double, 3>;

inline constexpr double sheet_width = 842.0, sheet_height = 595.0, sheet_margin = 34.0;
inline constexpr Rgb sheet_paper{1.0, 1.0, 1.0}, sheet_ink{0.12, 0.165, 0.19},
    sheet_soft_ink{0.33, 0.39, 0.42};

void use_ink(cairo_t* c, const Rgb& colour);

struct Letters {
  double size = 10.0;  ///< [pt]
  Rgb colour = sheet_soft_ink;
  bool serif = false;
  bool centred = false;  ///< around x instead of beginning there
};
void write_letters(cairo_t* c, const std::string& text, const Point& at, const Letters& letters);

/// Writes stem.png and stem.pdf. @throws Error when a file cannot be written
void save_sheet(const std::filesystem::path& stem, const std::function<void(cairo_t*)>& draw);

}  // namespace firstshot
