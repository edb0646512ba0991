// One HDF5 file: named arrays, scalars and texts, each with its unit. A thin wrapper over the
// library's C interface that closes what it opens and turns every failure into one Error with the
// file's name and the reason; the library's own messages are silenced.
//
// Arrays are chunked, byte-shuffled and deflated (level 4); scalars and empty arrays are stored
// plain. Texts are UTF-8 of fixed length, padded with zeros. Every dataset has the text attribute
// `units`: an SI unit, "1" for pure numbers and indices, "none" for texts. No times are stored:
// equal content gives equal bytes.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace firstshot {

class PagedFile;

class H5File {
 public:
  /// New, empty; an old file of that name is lost. @param shown name in errors, where it is another
  /// @throws Error when the folder cannot be written
  static H5File create(const std::filesystem::path& file, const std::filesystem::path& shown = {});
  /// @throws Error when there is no such file or it is no HDF5 file
  static H5File open(const std::filesystem::path& file);
  /// To add to what is there. @throws Error as open
  static H5File open_to_append(const std::filesystem::path& file,
                               const std::filesystem::path& shown = {});

  H5File(H5File&& other) noexcept;
  H5File& operator=(H5File&& other) noexcept;
  /// Drops what was written since opening, unless close() was called.
  ~H5File();
  /// Brings what was written to the disk; until then it is in memory. @throws Error when that fails
  void close();

  // --- writing. Names are paths, "/model/thickness"; missing groups are made. Each throws Error
  // when the name is taken or the disk is full.
  void make_group(const std::string& name);
  /// Rows of `columns` values each. @param values length a multiple of columns
  void write(const std::string& name, std::span<const double> values, const std::string& units,
             std::size_t columns = 1);
  /// The same, rounded to 32 bits.
  void write_float32(const std::string& name, std::span<const double> values,
                     const std::string& units);
  void write(const std::string& name, std::span<const std::int32_t> values,
             const std::string& units, std::size_t columns = 1);
  void write_texts(const std::string& name, std::span<const std::string> values);
  void write_scalar(const std::string& name, double value, const std::string& units);
  void write_scalar(const std::string& name, std::int64_t value, const std::string& units);
  void write_text(const std::string& name, const std::string& value);
  /// Text attribute of the whole file.
  void set_attribute(const std::string& name, const std::string& value);
  void set_attribute(const std::string& name, std::int64_t value);
  /// Copies the group or dataset `name` with all below it from another file.
  void copy_from(const H5File& other, const std::string& name);

  // --- reading. Each throws Error when the name is missing or holds something else.
  bool has(const std::string& name) const;
  /// Names directly below a group, sorted.
  std::vector<std::string> members(const std::string& group) const;
  /// @param columns expected length of a row @param rows expected number of rows, or any_rows
  static constexpr std::size_t any_rows = static_cast<std::size_t>(-1);
  std::vector<double> read(const std::string& name, std::size_t columns = 1,
                           std::size_t rows = any_rows) const;
  std::vector<std::int32_t> read_int32(const std::string& name, std::size_t columns = 1,
                                       std::size_t rows = any_rows) const;
  std::vector<std::string> read_texts(const std::string& name, std::size_t rows = any_rows) const;
  double read_scalar(const std::string& name) const;
  std::int64_t read_integer(const std::string& name) const;
  std::string read_text(const std::string& name) const;
  std::string attribute(const std::string& name) const;
  /// Unit of a dataset.
  std::string units(const std::string& name) const;
  std::int64_t integer_attribute(const std::string& name) const;

  /// As shown in errors.
  const std::filesystem::path& path() const { return path_; }

 private:
  struct Access;  // the calls of the library, in the source
  H5File(std::filesystem::path path, std::unique_ptr<PagedFile> pages);

  std::filesystem::path path_;
  std::int64_t id_ = -1;
  std::unique_ptr<PagedFile> pages_;  ///< of a file that is written, else empty
};

}  // namespace firstshot
