#include "io/dxf_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace firstshot {
namespace {

constexpr std::size_t kLongestValue = 255;  // of a name; longer ones are cut by other readers
constexpr int kLargestCode = 1071;

std::string_view trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

std::string shown(std::string_view text) {
  constexpr std::size_t kMost = 40;
  std::string plain(text.substr(0, kMost));
  for (char& c : plain) {
    if (static_cast<unsigned char>(c) < 0x20) c = '?';
  }
  return plain;
}

// Pairs of lines, one after the other.
class PairReader {
 public:
  PairReader(std::string_view text, const std::string& name) : rest_(text), name_(name) {}

  /// The next pair that is no comment; false at the end of the text.
  bool next(DxfPair& pair) {
    constexpr int kComment = 999;
    do {
      std::string_view code;
      if (!take_line(code)) return false;
      // Blank lines may follow the end of the file.
      if (trimmed(code).empty() && trimmed(rest_).find_first_not_of("\n\r\t ") == rest_.npos)
        return false;
      pair.code = code_of(trimmed(code));
      std::string_view value;
      if (!take_line(value)) throw DxfError(name_, line_, "the file is cut off here");
      pair.value = trimmed(value);
      pair.line = line_;
    } while (pair.code == kComment);
    return true;
  }
  int line() const { return line_; }

 private:
  bool take_line(std::string_view& line) {
    if (rest_.empty()) return false;
    const std::size_t end = rest_.find('\n');
    line = rest_.substr(0, end);
    rest_ = end == std::string_view::npos ? std::string_view() : rest_.substr(end + 1);
    ++line_;
    return true;
  }

  int code_of(std::string_view text) const {
    int code = 0;
    const auto end = std::from_chars(text.data(), text.data() + text.size(), code);
    if (!text.empty() && end.ec == std::errc{} && end.ptr == text.data() + text.size() &&
        code >= -5 && code <= kLargestCode) {
      return code;
    }
    throw DxfError(name_, line_,
                   fmt::format("\"{}\" stands where a group code, a whole number, is needed; this "
                               "is no DXF file in text form, or a line is missing above",
                               shown(text)));
  }

  std::string_view rest_;
  const std::string& name_;
  int line_ = 0;
};

void refuse_other_formats(std::string_view text, const std::string& name) {
  constexpr std::size_t kHead = 64;
  const std::string_view head = text.substr(0, kHead);
  if (head.find("Binary DXF") != head.npos || head.find('\0') != head.npos) {
    throw DxfError(name, 0, "this is a binary file; save the drawing as DXF in text form (ASCII)");
  }
  if (head.starts_with("AC10")) {
    throw DxfError(name, 0, "this is a drawing in another format; save it as DXF (ASCII)");
  }
  if (trimmed(text).empty()) throw DxfError(name, 0, "the file is empty");
}

constexpr std::array<std::string_view, 11> kDrawing = {
    "LINE",     "ARC",    "CIRCLE", "ELLIPSE", "POINT", "LWPOLYLINE",
    "POLYLINE", "VERTEX", "SEQEND", "SPLINE",  "INSERT"};

bool draws(std::string_view kind) {
  return std::find(kDrawing.begin(), kDrawing.end(), kind) != kDrawing.end();
}

bool is_real(int code) { return (code >= 10 && code <= 59) || (code >= 210 && code <= 239); }
bool is_whole(int code) { return (code >= 60 && code <= 79) || code == 90; }
bool matters(int code) { return code == 2 || code == 8 || is_real(code) || is_whole(code); }

// A value of an entity that draws; a number must be one.
void check_value(const DxfPair& pair, std::string_view kind, const std::string& name) {
  const char* const first = pair.value.data();
  const char* const last = first + pair.value.size();
  if (is_real(pair.code)) {
    double number = 0.0;
    const auto end = std::from_chars(first + (pair.value.starts_with('+') ? 1 : 0), last, number);
    if (end.ec == std::errc{} && end.ptr == last && std::isfinite(number)) return;
    throw DxfError(name, pair.line,
                   fmt::format("\"{}\" in {} is not a finite number", shown(pair.value), kind));
  }
  if (is_whole(pair.code)) {
    int number = 0;
    const auto end = std::from_chars(first, last, number);
    if (end.ec == std::errc{} && end.ptr == last) return;
    throw DxfError(name, pair.line,
                   fmt::format("\"{}\" in {} is not a whole number", shown(pair.value), kind));
  }
  if (pair.value.size() > kLongestValue)
    throw DxfError(name, pair.line, "this name is too long; allowed: 255 characters");
}

// Sorts pairs into sections and entities.
class Sorter {
 public:
  Sorter(std::string_view text, const std::string& name) : pairs_(text, name), name_(name) {}

  DxfText run() {
    DxfPair pair;
    bool ended = false;
    while (!ended && pairs_.next(pair)) {
      if (pair.code == 0) {
        end_entity();
        ended = pair.value == "EOF";
        begin(pair);
      } else {
        add(pair);
      }
    }
    if (!ended) {
      throw DxfError(name_, pairs_.line(),
                     "the file ends without its closing line \"EOF\"; it is cut off");
    }
    if (!has_entities_) throw DxfError(name_, 0, "the file has no section of entities");
    return std::move(result_);
  }

 private:
  void begin(const DxfPair& pair) {
    if (pair.value == "SECTION" || pair.value == "ENDSEC" || pair.value == "EOF") {
      if (!section_.empty() && pair.value != "ENDSEC")
        throw DxfError(name_, pair.line, fmt::format("the section {} has no end", section_));
      section_ = {};
      opening_ = pair.value == "SECTION";
      return;
    }
    if (section_ != "BLOCKS" && section_ != "ENTITIES") return;
    const bool block = pair.value == "BLOCK" || pair.value == "ENDBLK";
    if (block || draws(pair.value)) {
      open_ = true;
      hidden_ = false;
      entity_ = {pair.value, pair.line, {}};
    } else if (section_ == "ENTITIES") {
      ++result_.skipped[shown(pair.value)];
    }
  }

  void add(const DxfPair& pair) {
    if (opening_ && pair.code == 2) {
      section_ = pair.value;
      opening_ = false;
      has_entities_ = has_entities_ || section_ == "ENTITIES";
    } else if (section_ == "HEADER") {
      if (pair.code == 9) variable_ = pair.value;
      if (pair.code == 70 && variable_ == "$INSUNITS") {
        check_value(pair, "the header", name_);
        std::from_chars(pair.value.data(), pair.value.data() + pair.value.size(),
                        result_.unit_code);
      }
    } else if (open_ && matters(pair.code)) {
      check_value(pair, entity_.kind, name_);
      // Paper space and invisible entities are no part of the frame.
      hidden_ = hidden_ || ((pair.code == 67 || pair.code == 60) && pair.value != "0");
      entity_.pairs.push_back(pair);
    }
  }

  void end_entity() {
    if (open_ && !hidden_) {
      auto& entities = section_ == "BLOCKS" ? result_.blocks : result_.entities;
      entities.push_back(std::move(entity_));
    }
    open_ = false;
  }

  PairReader pairs_;
  const std::string& name_;
  DxfText result_;
  std::string_view section_;
  std::string_view variable_;
  bool opening_ = false;
  bool has_entities_ = false;
  bool open_ = false;
  bool hidden_ = false;
  DxfEntity entity_;
};

}  // namespace

DxfError::DxfError(const std::string& file, int line, const std::string& what)
    : Error(line > 0 ? fmt::format("{}:{}: {}", file, line, what)
                     : fmt::format("{}: {}", file, what)) {}

DxfText dxf_text(std::string_view text, const std::string& name) {
  refuse_other_formats(text, name);
  return Sorter(text, name).run();
}

}  // namespace firstshot
