#include "io/paged_file.hpp"

#include <algorithm>
#include <cerrno>
#include <string>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr mode_t file_mode = 0666;  // reduced by the user's umask

[[noreturn]] void fail(const std::filesystem::path& shown, int error) {
  throw Error("cannot write \"" + shown.string() + "\": " + std::generic_category().message(error));
}

}  // namespace

PagedFile::PagedFile(const std::filesystem::path& file, Mode mode, std::filesystem::path shown)
    : shown_(std::move(shown)) {
  const int flags = mode == Mode::create ? O_CREAT | O_TRUNC : 0;
  descriptor_ = ::open(file.c_str(), O_RDWR | O_CLOEXEC | flags, file_mode);
  if (descriptor_ < 0) fail(shown_, errno);
  struct stat status {};
  if (::fstat(descriptor_, &status) != 0) {
    const int error = errno;
    ::close(descriptor_);
    fail(shown_, error);
  }
  size_ = disk_size_ = static_cast<std::uint64_t>(status.st_size);
}

PagedFile::~PagedFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

bool PagedFile::read_disk(std::uint64_t at, std::span<char> out) const {
  std::fill(out.begin(), out.end(), '\0');
  if (at >= disk_size_) return true;
  out = out.first(std::min<std::uint64_t>(out.size(), disk_size_ - at));
  while (!out.empty()) {
    const ssize_t n = ::pread(descriptor_, out.data(), out.size(), static_cast<off_t>(at));
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    at += static_cast<std::uint64_t>(n);
    out = out.subspan(static_cast<std::size_t>(n));
  }
  return true;
}

bool PagedFile::read(std::uint64_t at, std::span<char> out) const {
  while (!out.empty()) {
    const std::uint64_t offset = at % page_size;
    const std::span<char> part = out.first(std::min<std::uint64_t>(out.size(), page_size - offset));
    const auto page = pages_.find(at / page_size);
    if (page == pages_.end()) {
      if (!read_disk(at, part)) return false;
    } else {
      std::copy_n(page->second.begin() + static_cast<std::ptrdiff_t>(offset), part.size(),
                  part.begin());
    }
    at += part.size();
    out = out.subspan(part.size());
  }
  return true;
}

bool PagedFile::write(std::uint64_t at, std::span<const char> bytes) {
  while (!bytes.empty()) {
    const std::uint64_t number = at / page_size, offset = at % page_size;
    const auto part = bytes.first(std::min<std::uint64_t>(bytes.size(), page_size - offset));
    const auto [page, is_new] = pages_.try_emplace(number);
    if (is_new) {
      page->second.resize(page_size);
      if (!read_disk(number * page_size, page->second)) {
        pages_.erase(page);
        return false;
      }
    }
    std::copy(part.begin(), part.end(), page->second.begin() + static_cast<std::ptrdiff_t>(offset));
    at += part.size();
    bytes = bytes.subspan(part.size());
    size_ = std::max(size_, at);
  }
  return true;
}

void PagedFile::resize(std::uint64_t size) {
  if (size < size_) {
    disk_size_ = std::min(disk_size_, size);
    pages_.erase(pages_.lower_bound((size + page_size - 1) / page_size), pages_.end());
    const auto last = pages_.find(size / page_size);
    if (last != pages_.end())
      std::fill(last->second.begin() + static_cast<std::ptrdiff_t>(size % page_size),
                last->second.end(), '\0');
  }
  size_ = size;
}

void PagedFile::write_out() {
  // Cut first: what was cut off must read as zeros if the file grows again.
  if (::ftruncate(descriptor_, static_cast<off_t>(disk_size_)) != 0) fail(shown_, errno);
  for (const auto& [number, bytes] : pages_) {
    std::uint64_t at = number * page_size;
    if (at >= size_) break;
    std::span<const char> rest(bytes.data(), std::min(page_size, size_ - at));
    while (!rest.empty()) {
      const ssize_t n = ::pwrite(descriptor_, rest.data(), rest.size(), static_cast<off_t>(at));
      if (n < 0 && errno == EINTR) continue;
      if (n <= 0) fail(shown_, n < 0 ? errno : ENOSPC);
      at += static_cast<std::uint64_t>(n);
      rest = rest.subspan(static_cast<std::size_t>(n));
    }
  }
  if (::ftruncate(descriptor_, static_cast<off_t>(size_)) != 0) fail(shown_, errno);
  // Some file systems report a full disk only here.
  if (::close(std::exchange(descriptor_, -1)) != 0) fail(shown_, errno);
}

}  // namespace firstshot
