#include "io/stl_reader.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <istream>
#include <string_view>

#include <fmt/format.h>

#include "io/shell_builder.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr std::size_t head_bytes = 84;     // of a binary file: 80 of free text, then the number
constexpr std::size_t count_offset = 80;   // of that number
constexpr std::size_t record_bytes = 50;   // normal, three corners, two bytes of attributes
constexpr std::size_t corner_offset = 12;  // of the first corner in a record
constexpr std::uint64_t most_triangles = 50'000'000;  // beyond this no frame, and 5 GB
constexpr std::uint64_t progress_triangles = 100'000;

static_assert(std::endian::native == std::endian::little, "STL numbers are little-endian");

bool is_blank(char c) { return c == ' ' || (c >= '\t' && c <= '\r'); }

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

bool is_word(std::string_view word, std::string_view wanted) {
  return std::equal(word.begin(), word.end(), wanted.begin(), wanted.end(),
                    [](char a, char b) { return lower(a) == b; });
}

/// Next word of a line; the line loses it. Empty at the end.
std::string_view take_word(std::string_view& line) {
  const auto begin = std::find_if_not(line.begin(), line.end(), is_blank);
  const auto end = std::find_if(begin, line.end(), is_blank);
  const std::string_view word(begin, end);
  line = std::string_view(end, line.end());
  return word;
}

/// A word for an error message: not too long, nothing that a terminal would obey.
std::string shown(std::string_view word) {
  constexpr std::size_t longest = 30;
  std::string text;
  for (const char c : word.substr(0, longest)) text += c >= ' ' && c <= '~' ? c : '?';
  return text + (word.size() > longest ? "..." : "");
}

void check_count(std::uint64_t n, const std::string& name) {
  if (n <= most_triangles) return;
  throw Error(fmt::format("{}: {} triangles; allowed: up to {}", name, n, most_triangles));
}

class BinaryReader {
 public:
  BinaryReader(std::istream& in, const std::string& name, std::uint64_t n)
      : in_(in), name_(name), n_(n) {}

  Shell read(const ReadProgress& progress) {
    constexpr std::uint64_t at_once = 4096;
    std::vector<char> records(at_once * record_bytes);
    in_.seekg(head_bytes);
    for (std::uint64_t first = 0; first < n_; first += at_once) {
      const std::uint64_t count = std::min(at_once, n_ - first);
      in_.read(records.data(), static_cast<std::streamsize>(count * record_bytes));
      if (!in_) throw Error(fmt::format("{}: cannot be read to its end", name_));
      for (std::uint64_t i = 0; i < count; ++i) add(&records[i * record_bytes], first + i);
      const bool due = first / progress_triangles != (first + count) / progress_triangles;
      if (progress && due) progress(static_cast<double>(first + count) / static_cast<double>(n_));
    }
    return shell_.take();
  }

 private:
  void add(const char* record, std::uint64_t number) {
    std::array<float, 9> values{};
    std::memcpy(values.data(), record + corner_offset, sizeof values);
    if (!std::all_of(values.begin(), values.end(), [](float v) { return std::isfinite(v); })) {
      throw Error(
          fmt::format("{}: a coordinate of triangle {} is not a finite number", name_, number + 1));
    }
    std::array<std::int32_t, 3> corners{};
    for (std::size_t k = 0; k < corners.size(); ++k)
      corners[k] = shell_.point({values[3 * k], values[3 * k + 1], values[3 * k + 2]});
    shell_.add_triangle(corners);
  }

  std::istream& in_;
  const std::string& name_;
  std::uint64_t n_;
  ShellBuilder shell_;
};

/// Reads word after word; line breaks count only behind "solid" and "endsolid", whose names may
/// hold anything.
class TextReader {
 public:
  TextReader(std::istream& in, std::uint64_t size, const std::string& name)
      : in_(in), size_(size), name_(name) {}

  Shell read(const ReadProgress& progress) {
    in_.seekg(0);
    std::uint64_t told = 0;
    while (std::getline(in_, text_)) {
      ++line_;
      read_bytes_ += text_.size() + 1;
      read_line(text_);
      if (progress && shell_.n_triangles() >= told + progress_triangles) {
        told = shell_.n_triangles();
        progress(std::min(1.0, static_cast<double>(read_bytes_) / static_cast<double>(size_)));
      }
    }
    if (in_facet_ || open_) {
      throw Error(fmt::format("{}: the file breaks off in line {}, before \"{}\"", name_, line_,
                              in_facet_ ? "endfacet" : "endsolid"));
    }
    return shell_.take();
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw Error(fmt::format("{}:{}: {}", name_, line_, what));
  }

  void read_line(std::string_view line) {
    constexpr std::string_view mark = "\xef\xbb\xbf";  // what some editors put before UTF-8
    if (line_ == 1 && line.starts_with(mark)) line.remove_prefix(mark.size());
    while (true) {
      const std::string_view word = take_word(line);
      if (word.empty()) return;
      if (numbers_left_ > 0) {
        take_number(word);
      } else if (is_word(word, "solid") || is_word(word, "endsolid")) {
        if (in_facet_) fail("\"endfacet\" is missing before this line");
        open_ = is_word(word, "solid");
        return;
      } else {
        take_keyword(word);
      }
    }
  }

  void take_keyword(std::string_view word) {
    constexpr std::size_t corners = 3;
    if (is_word(word, "vertex")) {
      if (!in_facet_) fail("a \"vertex\" stands outside of a facet");
      if (n_corners_ == corners) fail("a facet has more than three corners; allowed: triangles");
      numbers_left_ = 3;
      of_corner_ = true;
    } else if (is_word(word, "facet")) {
      if (in_facet_) fail("\"endfacet\" is missing before this line");
      in_facet_ = true;
      n_corners_ = 0;
    } else if (is_word(word, "normal")) {
      numbers_left_ = 3;
      of_corner_ = false;
    } else if (is_word(word, "endfacet")) {
      if (!in_facet_ || n_corners_ != corners) fail("a facet ends without three corners");
      in_facet_ = false;
      check_count(shell_.n_triangles() + 1, name_);
      shell_.add_triangle(corner_);
    } else if (!is_word(word, "outer") && !is_word(word, "loop") && !is_word(word, "endloop")) {
      fail(fmt::format("\"{}\" is no word of an STL file", shown(word)));
    }
  }

  void take_number(std::string_view word) {
    --numbers_left_;
    if (!of_corner_) return;  // normals are computed from the corners; some programs write nan here
    const std::string_view digits = word.starts_with('+') ? word.substr(1) : word;
    double value = 0.0;
    const auto [end, fault] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (fault != std::errc() || end != digits.data() + digits.size() || !std::isfinite(value))
      fail(fmt::format("\"{}\" is not a finite number", shown(word)));
    // Files hold single precision; digits beyond it would keep apart what was one point.
    number_[2U - static_cast<std::size_t>(numbers_left_)] =
        static_cast<double>(static_cast<float>(value));
    if (numbers_left_ > 0) return;
    if (!std::all_of(number_.begin(), number_.end(), [](double v) { return std::isfinite(v); }))
      fail("a coordinate is too large");
    corner_[n_corners_++] = shell_.point({number_[0], number_[1], number_[2]});
  }

  std::istream& in_;
  std::uint64_t size_;
  const std::string& name_;
  ShellBuilder shell_;
  std::string text_;
  std::uint64_t line_ = 0, read_bytes_ = 0;
  bool in_facet_ = false, open_ = false, of_corner_ = false;
  int numbers_left_ = 0;
  std::size_t n_corners_ = 0;
  std::array<double, 3> number_{};
  std::array<std::int32_t, 3> corner_{};
};

/// First bytes of a file and its length.
struct Head {
  std::string bytes;
  std::uint64_t size = 0;
};

Head head_of(std::istream& in) {
  constexpr std::size_t looked_at = 1024;
  Head head;
  in.seekg(0, std::ios::end);
  head.size = static_cast<std::uint64_t>(std::max<std::streamoff>(0, in.tellg()));
  in.seekg(0);
  head.bytes.resize(std::min<std::uint64_t>(looked_at, head.size));
  in.read(head.bytes.data(), static_cast<std::streamsize>(head.bytes.size()));
  head.bytes.resize(static_cast<std::size_t>(std::max<std::streamsize>(0, in.gcount())));
  in.clear();
  return head;
}

bool begins_with_solid(std::string_view bytes) {
  constexpr std::string_view mark = "\xef\xbb\xbf";
  if (bytes.starts_with(mark)) bytes.remove_prefix(mark.size());
  return is_word(take_word(bytes), "solid");
}

std::uint64_t promised_triangles(const Head& head) {
  std::uint32_t n = 0;
  std::memcpy(&n, head.bytes.data() + count_offset, sizeof n);
  return n;
}

/// Number of triangles of a binary file. @throws Error when its length does not fit
std::uint64_t binary_count(const Head& head, const std::string& name,
                           std::vector<std::string>& notes) {
  if (head.size < head_bytes) {
    throw Error(fmt::format("{}: {} bytes are too few for an STL file", name, head.size));
  }
  const std::uint64_t n = promised_triangles(head);
  const std::uint64_t needed = head_bytes + n * record_bytes;
  if (needed > head.size) {
    throw Error(
        fmt::format("{}: this is no STL file, or it is cut off: as a binary one it announces {} "
                    "triangles in {} "
                    "bytes, but it has {} bytes, enough for {}",
                    name, n, needed, head.size, (head.size - head_bytes) / record_bytes));
  }
  check_count(n, name);
  if (needed < head.size)
    notes.push_back(fmt::format("{}: {} bytes behind the last of {} triangles are passed over.",
                                name, head.size - needed, n));
  return n;
}

}  // namespace

StlSurface read_stl(std::istream& in, const std::string& name, const ReadProgress& progress) {
  const Head head = head_of(in);
  if (head.bytes.empty()) throw Error(name + ": the file is empty");
  const bool fits =
      head.size >= head_bytes && head.size == head_bytes + promised_triangles(head) * record_bytes;
  const bool is_text = head.bytes.find('\0') == std::string::npos;
  StlSurface surface;
  if (!fits && is_text && begins_with_solid(head.bytes)) {
    surface.shell = TextReader(in, head.size, name).read(progress);
  } else if (!fits && is_text) {
    throw Error(name + ": this is no STL file: text that does not begin with \"solid\"");
  } else {
    const std::uint64_t n = binary_count(head, name, surface.notes);
    surface.shell = BinaryReader(in, name, n).read(progress);
  }
  if (surface.shell.triangles.empty())
    throw Error(name + ": the file holds no triangle with an area");
  return surface;
}

}  // namespace firstshot
