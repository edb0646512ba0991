// What h5_file needs of the HDF5 library besides its calls: handles that close themselves, silence,
// and the reason of a failure. The library's types are spelled as the plain integers they are.
#pragma once

#include <cstdint>
#include <string>
#include <utility>

namespace firstshot {

/// Closes a handle of the library at the end of its scope.
class H5Handle {
 public:
  using Close = int (*)(std::int64_t);
  H5Handle(std::int64_t id, Close close) : id_(id), close_(close) {}
  H5Handle(const H5Handle&) = delete;
  H5Handle& operator=(const H5Handle&) = delete;
  H5Handle(H5Handle&& other) noexcept : id_(std::exchange(other.id_, -1)), close_(other.close_) {}
  H5Handle& operator=(H5Handle&&) = delete;
  ~H5Handle() {
    if (id_ >= 0) close_(id_);
  }
  std::int64_t get() const { return id_; }

 private:
  std::int64_t id_;
  Close close_;
};

/// To be called before each opening: stops the library from printing (a setting of the calling
/// thread), and from cleaning up when the program exits, which ends in a wild pointer when a
/// damaged file could not be closed. Nothing of ours is open then.
void prepare_h5();

/// Why the library's last call failed: the system's message if there is one, else the library's
/// innermost sentence.
std::string h5_reason();

/// UTF-8 text of `length` bytes, padded with zeros.
H5Handle h5_text_type(std::size_t length);

/// How files are opened: closing the file closes all in it; no locks, since runs in one folder are
/// kept apart by ResultsFolder and the library's locks fail on some network file systems.
H5Handle h5_file_access();

}  // namespace firstshot
