#include "io/case_error.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr std::size_t kExcerptBefore =
    60;  // characters shown before the caret, so that long lines stay readable
constexpr std::size_t kExcerptAfter = 40;  // and after it

bool continues_character(char c) { return (static_cast<unsigned char>(c) & 0xC0u) == 0x80u; }

// Start of each UTF-8 character of the line; a stray byte counts as a character of its own.
std::vector<std::size_t> character_starts(const std::string& line) {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (i == 0 || !continues_character(line[i])) starts.push_back(i);
  }
  starts.push_back(line.size());
  return starts;
}

std::string printable(const std::string& text) {
  std::string shown = text;
  for (char& c : shown) {
    if (static_cast<unsigned char>(c) < 0x20u || c == '\x7f') c = ' ';
  }
  return shown;
}

// The line (or the piece of it around the column) with a caret below the column.
std::string marked_line(const std::string& line, int column) {
  const std::vector<std::size_t> starts = character_starts(line);
  const std::size_t n_characters = starts.size() - 1;
  const std::size_t at = std::min<std::size_t>(static_cast<std::size_t>(column - 1), n_characters);
  const std::size_t first = at > kExcerptBefore ? at - kExcerptBefore : 0;
  const std::size_t last = std::min(at + kExcerptAfter, n_characters);
  const std::string piece = printable(line.substr(starts[first], starts[last] - starts[first]));
  const std::string lead = first > 0 ? "... " : "";
  const std::string indent(lead.size() + at - first, ' ');
  return fmt::format("  {}{}{}\n  {}^", lead, piece, last < n_characters ? " ..." : "", indent);
}

std::string full_text(const CaseError::Where& where, const std::string& what) {
  std::string text = where.file;
  if (where.line > 0) text += fmt::format(":{}", where.line);
  if (where.line > 0 && where.column > 0) text += fmt::format(":{}", where.column);
  if (!where.key.empty()) text += fmt::format(": {}", where.key);
  text += fmt::format(": {}", what);
  if (where.line > 0 && where.column > 0 && !where.source_line.empty()) {
    text += fmt::format("\n{}", marked_line(where.source_line, where.column));
  }
  return text;
}

}  // namespace

CaseError::CaseError(const Where& where, const std::string& what)
    : Error(full_text(where, what)), where_(where), reason_(what) {}

}  // namespace firstshot
