#include "io/csv_table.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string_view>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr std::size_t most_bytes = 16 << 20;  // a year of shots is far below

/// Characters of UTF-8, counted by their first bytes.
int characters(std::string_view text) {
  return static_cast<int>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

bool is_text(std::string_view line) {
  return std::none_of(line.begin(), line.end(),
                      [](char c) { return static_cast<unsigned char>(c) < ' ' && c != '\t'; });
}

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t") - first + 1));
}

struct Line {
  const CsvTable& table;
  CsvRow row;
  std::size_t at = 0;

  CsvCell cell_here(std::string text) const {
    return {std::move(text), characters(std::string_view(row.source).substr(0, at)) + 1};
  }
  /// Between quotes; a doubled quote is one of the text.
  CsvCell quoted() {
    CsvCell cell = cell_here("");
    const std::string& s = row.source;
    for (++at;; ++at) {
      if (at >= s.size()) throw table.error(row, cell, "the quote that begins here is not closed");
      if (s[at] == '"') {
        if (at + 1 >= s.size() || s[at + 1] != '"') break;
        ++at;
      }
      cell.text.push_back(s[at]);
    }
    ++at;
    while (at < s.size() && s[at] == ' ') ++at;
    if (at < s.size() && s[at] != table.separator)
      throw table.error(row, cell_here(""),
                        "text after the closing quote; the next cell begins "
                        "behind a separator");
    cell.text = trimmed(cell.text);
    return cell;
  }
  CsvCell next() {
    const std::string& s = row.source;
    while (at < s.size() && s[at] == ' ') ++at;
    if (at < s.size() && s[at] == '"') return quoted();
    const std::size_t end = std::min(s.find(table.separator, at), s.size());
    CsvCell cell = cell_here(trimmed(std::string_view(s).substr(at, end - at)));
    at = end;
    return cell;
  }
};

CsvRow row_of(const CsvTable& table, int number, std::string text) {
  Line line{table, {number, {}, std::move(text)}};
  if (!is_text(line.row.source)) {
    line.row.source.clear();
    throw table.error(line.row, {}, "this line is no text; save the table as CSV in UTF-8");
  }
  for (;;) {
    line.row.cells.push_back(line.next());
    if (line.at >= line.row.source.size()) break;
    ++line.at;
  }
  return line.row;
}

char separator_of(const std::string& head) {
  for (const char c : {';', '\t'})
    if (head.find(c) != std::string::npos) return c;
  return ',';
}

}  // namespace

CaseError CsvTable::error(const CsvRow& row, const CsvCell& cell, const std::string& what) const {
  return {{name, row.line, row.line > 0 ? cell.column : 0, "", row.source}, what};
}

CsvTable parse_csv(const std::string& text, const std::string& name) {
  CsvTable table;
  table.name = name;
  std::istringstream lines(text.starts_with("\xEF\xBB\xBF") ? text.substr(3) : text);
  int number = 0;
  for (std::string line; std::getline(lines, line);) {
    ++number;
    if (line.ends_with('\r')) line.pop_back();
    if (line.starts_with('#') || line.find_first_not_of(" \t,;") == std::string::npos) continue;
    if (table.head.line == 0) {
      table.separator = separator_of(line);
      table.head = row_of(table, number, line);
      continue;
    }
    table.rows.push_back(row_of(table, number, line));
    const CsvRow& row = table.rows.back();
    if (row.cells.size() != table.head.cells.size())
      throw table.error(row, row.cells.back(),
                        fmt::format("this row has {} cells, the head row {}", row.cells.size(),
                                    table.head.cells.size()));
  }
  if (table.head.line == 0)
    throw table.error({}, {}, "the table is empty; its first row names the columns");
  return table;
}

CsvTable read_csv(const std::filesystem::path& path) {
  const CsvTable none{path.string(), ',', {}, {}};
  std::error_code failed;
  if (!std::filesystem::is_regular_file(path, failed))
    throw none.error({}, {}, "there is no such file");
  if (std::filesystem::file_size(path, failed) > most_bytes)
    throw none.error({}, {}, "the file is larger than 16 MB; a table of shots is not");
  std::ifstream in(path, std::ios::binary);
  if (!in) throw none.error({}, {}, "the file cannot be read");
  std::ostringstream text;
  text << in.rdbuf();
  return parse_csv(text.str(), path.string());
}

double csv_number(const CsvTable& table, const CsvRow& row, const CsvCell& cell) {
  std::string text = cell.text;
  if (table.separator != ',' && text.find('.') == std::string::npos)
    std::replace(text.begin(), text.end(), ',', '.');
  const char* begin = text.data() + (text.starts_with('+') ? 1 : 0);
  double value = 0.0;
  const auto end = std::from_chars(begin, text.data() + text.size(), value);
  if (end.ec != std::errc() || end.ptr != text.data() + text.size() || !std::isfinite(value))
    throw table.error(row, cell,
                      fmt::format("\"{}\" is no number; allowed: a number like 12.5, its unit "
                                  "stands in the head row",
                                  cell.text));
  return value;
}

}  // namespace firstshot
