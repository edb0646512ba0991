// The case with every default written out. It holds the layout itself; copies of the cards, and of
// a solid, lie beside it, so the folder can be moved or kept for years; running it again gives the
// same bits in all fields.
#pragma once

#include <filesystem>
#include <string>

#include "io/build_setup.hpp"

namespace firstshot {

inline constexpr const char* kResolvedCaseName = "case.resolved.toml";
inline constexpr const char* kResolvedMaterialName = "material.resolved.toml";
inline constexpr const char* kResolvedPressName = "press.resolved.toml";
/// With the ending of the file that the case names: "solid.resolved.stl".
inline constexpr const char* kResolvedSolidStem = "solid.resolved";

/// Text of the resolved case; it names the copies of the cards relative to itself. Every double is
/// written so that reading gives the same bits.
std::string resolved_case_text(const BuiltSetup& built);

/// Tables [injection] and [layout] of a case; coordinates in mm, or in m where mm would lose bits.
std::string layout_text(const Layout& layout);
/// The tables [[vent]] and [[ejector]] alone, with their places in `unit`.
std::string mould_text(const Layout& layout, const std::string& unit);

/// Writes case.resolved.toml and the copies of the cards and of a solid into the folder, which must
/// exist.
/// @throws Error a file cannot be written
void write_resolved_case(const BuiltSetup& built, const std::filesystem::path& folder);

}  // namespace firstshot
