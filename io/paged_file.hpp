// A file whose changes stay in memory, in pages, until they are all written out at once.
//
// Why: the HDF5 library cannot close a file after a write has failed (a full disk), and ends the
// program at its exit with a wild pointer. So the library writes to this file, where nothing can
// fail; the disk is met in write_out, whose errors are ours.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <span>
#include <vector>

namespace firstshot {

class PagedFile {
 public:
  enum class Mode { create, open };
  /// @param shown name in errors
  /// @throws Error naming the file and the system's reason
  PagedFile(const std::filesystem::path& file, Mode mode, std::filesystem::path shown);
  PagedFile(const PagedFile&) = delete;
  PagedFile& operator=(const PagedFile&) = delete;
  ~PagedFile();

  /// Length with the changes so far [bytes].
  std::uint64_t size() const { return size_; }
  /// Cuts off, or extends by zeros.
  void resize(std::uint64_t size);
  /// Bytes from `at` on; zeros beyond the end. @return false when the disk cannot be read
  bool read(std::uint64_t at, std::span<char> out) const;
  /// @return false when the disk cannot be read around the bytes
  bool write(std::uint64_t at, std::span<const char> bytes);
  /// Writes the changes to the disk and closes the file. To be called once. @throws Error naming
  /// the file and the system's reason
  void write_out();

 private:
  static constexpr std::uint64_t page_size = 1 << 16;
  bool read_disk(std::uint64_t at, std::span<char> out) const;

  std::filesystem::path shown_;
  int descriptor_ = -1;
  std::uint64_t size_ = 0;
  std::uint64_t disk_size_ = 0;                       ///< of what is on the disk and still counts
  std::map<std::uint64_t, std::vector<char>> pages_;  ///< changed ones, by number
};

}  // namespace firstshot
