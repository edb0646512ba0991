#include "io/solid_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "io/fingerprint.hpp"
#include "io/step_reader.hpp"
#include "io/units.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr double mm = 1e-3;              // [m]
constexpr double largest_frame = 10.0;   // [m]; no mould is larger
constexpr double smallest_frame = 1e-3;  // [m]; below it nothing is moulded this way

using Extents = std::array<double, 3>;

Extents extents_of(const Shell& shell) {
  constexpr double inf = std::numeric_limits<double>::infinity();
  Extents low{inf, inf, inf}, high{-inf, -inf, -inf};
  for (const Point3& p : shell.points) {
    const Extents at{p.x, p.y, p.z};
    for (std::size_t i = 0; i < at.size(); ++i) {
      low[i] = std::min(low[i], at[i]);
      high[i] = std::max(high[i], at[i]);
    }
  }
  return {high[0] - low[0], high[1] - low[1], high[2] - low[2]};
}

double largest_of(const Extents& e) { return *std::max_element(e.begin(), e.end()); }

void scale(Shell& shell, double factor) {
  for (Point3& p : shell.points) p = {p.x * factor, p.y * factor, p.z * factor};
}

void check_size(const Shell& shell, const std::string& name, const std::string& unit) {
  const Extents e = extents_of(shell);
  if (largest_of(e) <= largest_frame && largest_of(e) >= smallest_frame) return;
  throw Error(
      fmt::format("{}: taken in {}, the solid measures {:.4g} x {:.4g} x {:.4g} mm; allowed: from "
                  "1 mm to 10 m; "
                  "is the unit right?",
                  name, unit, e[0] / mm, e[1] / mm, e[2] / mm));
}

std::string fingerprint_of(std::istream& in) {
  constexpr std::size_t at_once = 1U << 20U;
  Fingerprint mark;
  std::vector<char> bytes(at_once);
  in.seekg(0);
  while (in.read(bytes.data(), static_cast<std::streamsize>(bytes.size())), in.gcount() > 0)
    mark.add_bytes(bytes.data(), static_cast<std::size_t>(in.gcount()));
  in.clear();
  in.seekg(0);
  return mark.hex();
}

std::ifstream open(const fs::path& file) {
  std::error_code ignored;
  if (!fs::exists(file, ignored)) throw Error(file.string() + ": there is no such file");
  if (!fs::is_regular_file(file, ignored)) throw Error(file.string() + ": this is no plain file");
  std::ifstream in(file, std::ios::binary);
  if (!in) throw Error(file.string() + ": cannot be opened for reading");
  return in;
}

std::string ending_of(const fs::path& file) {
  std::string ending = file.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  return ending;
}

SolidFile from_stl(std::istream& in, const std::string& name, const SolidFileOptions& options) {
  StlSurface read = read_stl(in, name, options.progress);
  SolidFile solid;
  solid.notes = std::move(read.notes);
  solid.shell = std::move(read.shell);
  solid.unit = options.unit;
  if (solid.unit.empty()) {
    const Extents e = extents_of(solid.shell);
    solid.unit = guess_unit(largest_of(e), name);
    solid.notes.push_back(fmt::format(
        "{}: the unit is taken as {}, since the file names none and the solid measures {:.4g} x "
        "{:.4g} x {:.4g} of it; say so with geometry.unit = \"{}\".",
        name, solid.unit, e[0], e[1], e[2], solid.unit));
  }
  scale(solid.shell, convert_quantity(1.0, solid.unit, Dimension::length));
  return solid;
}

SolidFile from_step(std::istream& in, const std::string& name, const SolidFileOptions& options) {
  StepSurface read = read_step(in, name, options.step_tolerance);
  if (!options.unit.empty() && options.unit != read.unit) {
    throw Error(fmt::format(
        "{}: the file says itself that its unit is {}; leave geometry.unit out, or give that one",
        name, read.unit));
  }
  SolidFile solid;
  solid.notes = std::move(read.notes);
  solid.shell = std::move(read.shell);
  solid.unit = read.unit;
  return solid;
}

}  // namespace

std::string guess_unit(double largest, const std::string& name) {
  constexpr double least_mm = 30.0, most_mm = 1500.0;  // below: a frame of 30 inches at most
  constexpr double least_in = 0.7;
  if (largest >= least_mm && largest <= most_mm) return "mm";
  if (largest >= least_in && largest < least_mm) return "in";
  throw Error(fmt::format(
      "{}: the file names no unit, and the largest dimension of {:.4g} is neither likely for "
      "millimetres (30 to 1500) nor for inches (0.7 to 30); give geometry.unit",
      name, largest));
}

SolidFile read_solid_file(const fs::path& file, const SolidFileOptions& options) {
  const std::string ending = ending_of(file);
  const bool is_stl = ending == ".stl", is_step = ending == ".step" || ending == ".stp";
  if (!is_stl && !is_step) {
    throw Error(fmt::format("{}: a solid is read from a file that ends in .stl, .step or .stp",
                            file.string()));
  }
  std::ifstream in = open(file);
  const std::string mark = fingerprint_of(in);
  const std::string name = file.filename().string();
  SolidFile solid = is_stl ? from_stl(in, name, options) : from_step(in, name, options);
  solid.unit_length = convert_quantity(1.0, solid.unit, Dimension::length);
  solid.fingerprint = mark;
  check_size(solid.shell, name, solid.unit);
  return solid;
}

}  // namespace firstshot
