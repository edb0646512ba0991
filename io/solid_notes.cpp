#include "io/solid_notes.hpp"

#include <cmath>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr double mm = 1e-3;  // [m]

/// "+z", "-x", or the three components.
std::string direction_text(const Point3& d) {
  constexpr double exact = 1e-12;
  const auto sign_along = [&](double one, double other, double third) -> std::string {
    if (std::abs(other) > exact || std::abs(third) > exact) return "";
    return one < 0.0 ? "-" : "+";
  };
  if (const std::string sign = sign_along(d.x, d.y, d.z); !sign.empty()) return sign + "x";
  if (const std::string sign = sign_along(d.y, d.x, d.z); !sign.empty()) return sign + "y";
  if (const std::string sign = sign_along(d.z, d.x, d.y); !sign.empty()) return sign + "z";
  return fmt::format("({:.4g}, {:.4g}, {:.4g})", d.x, d.y, d.z);
}

std::string counted(std::size_t n, const char* one, const char* many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

void note_shell(const ShellFindings& shell, std::vector<std::string>& notes) {
  if (shell.turned_shells > 0)
    notes.push_back(fmt::format("{} of the solid lay inside out and was turned.",
                                counted(shell.turned_shells, "shell", "shells")));
  if (shell.turned_triangles > 0)
    notes.push_back(
        fmt::format("{} of the solid faced another way than the ones beside it and was "
                    "turned.",
                    counted(shell.turned_triangles, "triangle", "triangles")));
  if (shell.double_triangles > 0)
    notes.push_back(fmt::format("{} of the solid stood there more than once; one of each is kept.",
                                counted(shell.double_triangles, "triangle", "triangles")));
  if (shell.shells > 1)
    notes.push_back(fmt::format(
        "The solid is made of {} shells; where they overlap they are taken as one body.",
        shell.shells));
}

}  // namespace

std::vector<std::string> solid_notes(const SolidReport& report) {
  std::vector<std::string> notes;
  note_shell(report.shell, notes);
  if (!report.draw_was_given)
    notes.push_back(
        fmt::format("The draw is taken along {}, since no other axis has less undercut.",
                    direction_text(report.frame.z)));
  for (const Undercut& u : report.undercuts)
    notes.push_back(
        fmt::format("An undercut at ({:.2f}, {:.2f}, {:.2f}) mm, {:.2f} mm across and {:.2f} mm "
                    "high, is filled.",
                    u.at.x / mm, u.at.y / mm, u.at.z / mm, u.size / mm, u.gap / mm));
  if (const auto& s = report.sprue)
    notes.push_back(fmt::format(
        "The sprue is taken to be at ({:.2f}, {:.2f}) mm: {:.1f} mm long, {:.2f} mm across at the "
        "nozzle, {:.2f} mm at the foot.",
        s->at.x / mm, s->at.y / mm, s->length / mm, s->nozzle_diameter / mm,
        s->foot_diameter / mm));
  for (const std::string& name : report.unused_marks)
    notes.push_back(fmt::format("There is no part at the place given for \"{}\".", name));
  return notes;
}

}  // namespace firstshot
