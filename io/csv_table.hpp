// Tables in text files, as spreadsheets write them: one row per line, cells between separators,
// texts in quotes where they hold a separator [RFC4180]. The separator is the first of semicolon,
// tab and comma that the head row holds. Lines that begin with # are remarks. Every cell remembers
// its place, so that complaints can show it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/case_error.hpp"

namespace firstshot {

struct CsvCell {
  std::string text;  ///< without quotes and outer spaces
  int column = 1;    ///< in characters from 1
};
struct CsvRow {
  int line = 0;  ///< from 1
  std::vector<CsvCell> cells;
  std::string source;  ///< the line itself
};

struct CsvTable {
  std::string name;  ///< shown in errors
  char separator = ',';
  CsvRow head;
  std::vector<CsvRow> rows;  ///< each with as many cells as the head
  CaseError error(const CsvRow& row, const CsvCell& cell, const std::string& what) const;
};

/// @throws CaseError not there, too large, no UTF-8 text, no head row, a quote that does not close,
/// a row with more or fewer cells than the head
CsvTable read_csv(const std::filesystem::path& path);
CsvTable parse_csv(const std::string& text, const std::string& name);

/// A number in a cell; in a table whose separator is no comma the decimal sign may be one.
/// @throws CaseError no number, or not finite
double csv_number(const CsvTable& table, const CsvRow& row, const CsvCell& cell);

}  // namespace firstshot
