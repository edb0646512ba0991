#include "io/seal.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <fstream>
#include <string>
#include <system_error>

#include <fmt/format.h>

#include "io/fingerprint.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t block = 1 << 20;

[[noreturn]] void fail(const char* action, const fs::path& file) {
  const int reason = errno != 0 ? errno : EIO;
  throw Error(fmt::format("cannot {} \"{}\": {}", action, file.string(),
                          std::generic_category().message(reason)));
}

/// The line that belongs behind the first `length` bytes; empty when they cannot be read.
std::string seal_of(std::ifstream& in, std::uintmax_t length) {
  Fingerprint mark;
  std::string bytes(block, '\0');
  while (length > 0) {
    const std::uintmax_t n = std::min<std::uintmax_t>(length, block);
    if (!in.read(bytes.data(), static_cast<std::streamsize>(n))) return {};
    mark.add_bytes(bytes.data(), n);
    length -= n;
  }
  return fmt::format("\nseal {}\n", mark.hex());
}

}  // namespace

void add_seal(const fs::path& file, const fs::path& shown) {
  errno = 0;
  std::error_code error;
  const std::uintmax_t size = fs::file_size(file, error);
  std::ifstream in(file, std::ios::binary);
  const std::string seal = error ? std::string() : seal_of(in, size);
  if (seal.empty()) fail("read", shown);
  errno = 0;
  std::ofstream out(file, std::ios::binary | std::ios::app);
  out << seal;
  out.close();
  if (!out) fail("write", shown);
}

void check_seal(const fs::path& file) {
  errno = 0;
  std::error_code error;
  const std::uintmax_t size = fs::file_size(file, error);
  if (error) throw Error(fmt::format("cannot open \"{}\": {}", file.string(), error.message()));
  std::ifstream in(file, std::ios::binary);
  if (!in) fail("open", file);
  const std::string changed = fmt::format(
      "\"{}\" is no result file of firstshot, or it was damaged or changed after it was written",
      file.string());
  if (size < seal_length) throw Error(changed);
  const std::string expected = seal_of(in, size - seal_length);
  if (expected.empty()) fail("read", file);
  std::string found(seal_length, '\0');
  in.read(found.data(), static_cast<std::streamsize>(seal_length));
  if (found != expected) throw Error(changed);
}

}  // namespace firstshot
