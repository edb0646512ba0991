#include "io/atomic_file.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr mode_t file_mode = 0666;  // reduced by the user's umask
constexpr std::string_view temporary_ending = ".tmp";

[[noreturn]] void fail(const char* action, const fs::path& file, int error) {
  throw Error(std::string("cannot ") + action + " \"" + file.string() +
              "\": " + std::generic_category().message(error));
}

/// An open file that closes itself.
class Descriptor {
 public:
  Descriptor(const fs::path& file, int flags)
      : fd_(::open(file.c_str(), flags | O_CLOEXEC, file_mode)) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  bool is_open() const { return fd_ >= 0; }
  int get() const { return fd_; }
  /// Some file systems report a full disk only here. Returns 0 or the error.
  int close() { return ::close(std::exchange(fd_, -1)) == 0 ? 0 : errno; }

 private:
  int fd_;
};

/// Writes all bytes. Returns 0 or the error.
int write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return n < 0 ? errno : ENOSPC;
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return 0;
}

/// Makes a rename in this folder last. Folders of some file systems cannot be synchronised; the
/// rename is then as lasting as that file system makes it.
void sync_folder(const fs::path& file) {
  const fs::path folder = file.has_parent_path() ? file.parent_path() : fs::path(".");
  const Descriptor descriptor(folder, O_RDONLY | O_DIRECTORY);
  if (descriptor.is_open()) ::fsync(descriptor.get());
}

[[noreturn]] void fail_and_remove(const fs::path& prepared, const fs::path& file, int error) {
  ::unlink(prepared.c_str());
  fail("write", file, error);
}

}  // namespace

fs::path temporary_name(const fs::path& file) {
  return fs::path(file.string() + "." + std::to_string(::getpid()) + std::string(temporary_ending));
}

bool is_temporary_of(std::string_view candidate, std::string_view file) {
  if (candidate.size() <= file.size() + 1 + temporary_ending.size()) return false;
  if (!candidate.starts_with(file) || !candidate.ends_with(temporary_ending)) return false;
  std::string_view middle = candidate.substr(file.size());
  middle.remove_suffix(temporary_ending.size());
  if (middle.front() != '.') return false;
  middle.remove_prefix(1);
  return std::all_of(middle.begin(), middle.end(), [](char c) { return c >= '0' && c <= '9'; });
}

void replace_atomically(const fs::path& prepared, const fs::path& file) {
  {
    Descriptor descriptor(prepared, O_RDONLY);
    if (!descriptor.is_open()) fail("write", file, errno);
    if (::fsync(descriptor.get()) != 0) fail_and_remove(prepared, file, errno);
  }
  if (::rename(prepared.c_str(), file.c_str()) != 0) fail_and_remove(prepared, file, errno);
  sync_folder(file);
}

void write_atomically(const fs::path& file, std::string_view bytes) {
  const fs::path prepared = temporary_name(file);
  {
    Descriptor descriptor(prepared, O_WRONLY | O_CREAT | O_TRUNC);
    if (!descriptor.is_open()) fail("write", file, errno);
    int error = write_all(descriptor.get(), bytes);
    if (error == 0) error = descriptor.close();
    if (error != 0) fail_and_remove(prepared, file, error);
  }
  replace_atomically(prepared, file);
}

void copy_bytes(const fs::path& from, const fs::path& to, const fs::path& shown) {
  constexpr std::size_t block = 1 << 20;
  Descriptor source(from, O_RDONLY);
  if (!source.is_open()) fail("read", from, errno);
  Descriptor target(to, O_WRONLY | O_CREAT | O_TRUNC);
  if (!target.is_open()) fail("write", shown, errno);
  std::string buffer(block, '\0');
  for (;;) {
    const ssize_t n = ::read(source.get(), buffer.data(), buffer.size());
    if (n < 0 && errno == EINTR) continue;
    if (n == 0) break;
    if (n < 0) {
      const int error = errno;
      ::unlink(to.c_str());
      fail("read", from, error);
    }
    const int error = write_all(target.get(), {buffer.data(), static_cast<std::size_t>(n)});
    if (error != 0) fail_and_remove(to, shown, error);
  }
  const int error = target.close();
  if (error != 0) fail_and_remove(to, shown, error);
}

}  // namespace firstshot
