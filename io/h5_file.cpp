#include "io/h5_file.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include <hdf5.h>

#include "io/h5_driver.hpp"
#include "io/h5_library.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

constexpr unsigned deflate_level = 4;      // beyond it files shrink by a few per cent, time doubles
constexpr hsize_t chunk_values = 1 << 16;  // per chunk: 0.5 MB of doubles, inside the chunk cache
constexpr hsize_t deflate_limit = 1100;    // deflate shrinks by 1032 at the most
constexpr hsize_t small_dataset = 1 << 20;  // below it a wrong size does no harm [bytes]
constexpr const char* units_attribute = "units";
constexpr const char* text_unit = "none";

std::string without_padding(const char* begin, std::size_t length) {
  return std::string(begin, std::find(begin, begin + length, '\0'));
}

}  // namespace

/// The calls of the library; every failure leaves as Error.
struct H5File::Access {
  const H5File& file;

  [[noreturn]] void fail(const std::string& name) const {
    const std::string reason = h5_reason();
    throw Error("cannot " + std::string(file.pages_ ? "write" : "read") + " \"" +
                file.path_.string() + "\"" + (name.empty() ? "" : " (" + name + ")") + ": " +
                reason);
  }
  [[noreturn]] void reject(const std::string& name, const std::string& what) const {
    throw Error("\"" + file.path_.string() + "\" is damaged or not a result: " + name + " " + what);
  }
  hid_t checked(hid_t id, const std::string& name) const {
    if (id < 0) fail(name);
    return id;
  }
  void done(herr_t status, const std::string& name) const {
    if (status < 0) fail(name);
  }

  static hid_t file_attribute(hid_t object, const char* name, hid_t type) {
    const H5Handle space(H5Screate(H5S_SCALAR), H5Sclose);
    return H5Acreate2(object, name, type, space.get(), H5P_DEFAULT, H5P_DEFAULT);
  }
  void text_attribute(hid_t object, const std::string& name, const std::string& value) const {
    const H5Handle type = h5_text_type(value.size());
    const H5Handle attribute(checked(file_attribute(object, name.c_str(), type.get()), name),
                             H5Aclose);
    done(H5Awrite(attribute.get(), type.get(), value.c_str()), name);
  }

  /// @param shape empty for a scalar
  void write(const std::string& name, const void* values, std::span<const hsize_t> shape,
             std::pair<hid_t, hid_t> memory_and_file_type, const std::string& units) const {
    const bool empty = std::find(shape.begin(), shape.end(), 0U) != shape.end();
    const H5Handle space(
        shape.empty() ? H5Screate(H5S_SCALAR)
                      : H5Screate_simple(static_cast<int>(shape.size()), shape.data(), nullptr),
        H5Sclose);
    const H5Handle layout(checked(H5Pcreate(H5P_DATASET_CREATE), name), H5Pclose);
    H5Pset_obj_track_times(layout.get(), false);
    if (!shape.empty() && !empty) {
      std::vector<hsize_t> chunk(shape.begin(), shape.end());
      const hsize_t columns = chunk.size() > 1 ? chunk[1] : 1;
      chunk[0] = std::min(chunk[0], std::max<hsize_t>(chunk_values / columns, 1));
      H5Pset_chunk(layout.get(), static_cast<int>(chunk.size()), chunk.data());
      H5Pset_shuffle(layout.get());
      H5Pset_deflate(layout.get(), deflate_level);
    }
    const H5Handle links(checked(H5Pcreate(H5P_LINK_CREATE), name), H5Pclose);
    H5Pset_create_intermediate_group(links.get(), 1);
    const auto [memory_type, file_type] = memory_and_file_type;
    const H5Handle set(checked(H5Dcreate2(file.id_, name.c_str(), file_type, space.get(),
                                          links.get(), layout.get(), H5P_DEFAULT),
                               name),
                       H5Dclose);
    text_attribute(set.get(), units_attribute, units);
    if (!empty) done(H5Dwrite(set.get(), memory_type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values), name);
  }

  template <class T>
  void write_rows(const std::string& name, std::span<const T> values, std::size_t columns,
                  std::pair<hid_t, hid_t> types, const std::string& units) const {
    std::vector<hsize_t> shape{values.size() / columns};
    if (columns != 1) shape.push_back(columns);
    write(name, values.data(), shape, types, units);
  }

  H5Handle dataset(const std::string& name) const {
    if (!file.has(name)) reject(name, "is missing");
    return {checked(H5Dopen2(file.id_, name.c_str(), H5P_DEFAULT), name), H5Dclose};
  }

  /// Shape of a dataset whose claims fit the bytes that the file really has.
  std::vector<hsize_t> shape(const H5Handle& set, const H5Handle& type,
                             const std::string& name) const {
    const H5Handle space(checked(H5Dget_space(set.get()), name), H5Sclose);
    const int rank = H5Sget_simple_extent_ndims(space.get());
    if (rank < 0 || rank > 2) reject(name, "has a wrong number of dimensions");
    std::vector<hsize_t> out(static_cast<std::size_t>(rank));
    if (rank > 0) done(H5Sget_simple_extent_dims(space.get(), out.data(), nullptr), name);
    hsize_t file_size = 0;
    done(H5Fget_filesize(file.id_, &file_size), name);
    const hsize_t believable = std::max(small_dataset, file_size * deflate_limit);
    hsize_t bytes = H5Tget_size(type.get());
    bool fits = bytes <= believable;
    for (const hsize_t n : out) {
      fits = fits && (n == 0 || bytes <= believable / n);
      bytes *= n;
    }
    if (!fits) reject(name, "claims more values than the file can hold");
    return out;
  }

  /// Values of a dataset of class `kind` whose rows have `columns` values.
  template <class T>
  std::vector<T> read_rows(const std::string& name, std::size_t columns, std::size_t rows,
                           std::pair<H5T_class_t, hid_t> kind) const {
    const H5Handle set = dataset(name);
    const H5Handle type(checked(H5Dget_type(set.get()), name), H5Tclose);
    if (H5Tget_class(type.get()) != kind.first || H5Tget_size(type.get()) > sizeof(T))
      reject(name, "holds values of another type");
    const std::vector<hsize_t> dims = shape(set, type, name);
    const hsize_t row_length = dims.size() == 2 ? dims[1] : 1;
    if (dims.empty() || row_length != columns || (rows != any_rows && dims[0] != rows))
      reject(name, "has the wrong size");
    std::vector<T> out(dims[0] * columns);
    if (!out.empty())
      done(H5Dread(set.get(), kind.second, H5S_ALL, H5S_ALL, H5P_DEFAULT, out.data()), name);
    return out;
  }

  template <class T>
  T read_one(const std::string& name, std::pair<H5T_class_t, hid_t> kind) const {
    const H5Handle set = dataset(name);
    const H5Handle type(checked(H5Dget_type(set.get()), name), H5Tclose);
    if (H5Tget_class(type.get()) != kind.first || H5Tget_size(type.get()) > sizeof(T) ||
        !shape(set, type, name).empty())
      reject(name, "is not a single number");
    T value{};
    done(H5Dread(set.get(), kind.second, H5S_ALL, H5S_ALL, H5P_DEFAULT, &value), name);
    return value;
  }

  /// @param scalar one text is expected instead of a list
  std::vector<std::string> read_texts(const std::string& name, bool scalar,
                                      std::size_t rows) const {
    const H5Handle set = dataset(name);
    const H5Handle type(checked(H5Dget_type(set.get()), name), H5Tclose);
    if (H5Tget_class(type.get()) != H5T_STRING || H5Tis_variable_str(type.get()) != 0)
      reject(name, "is not text of fixed length");
    const std::vector<hsize_t> dims = shape(set, type, name);
    if (dims.size() != (scalar ? 0U : 1U) || (rows != any_rows && dims[0] != rows))
      reject(name, "has the wrong size");
    const std::size_t length = H5Tget_size(type.get());
    const std::size_t n = scalar ? 1 : dims[0];
    std::string bytes(length * n, '\0');
    if (n > 0) {
      const H5Handle memory = h5_text_type(length);
      done(H5Dread(set.get(), memory.get(), H5S_ALL, H5S_ALL, H5P_DEFAULT, bytes.data()), name);
    }
    std::vector<std::string> out;
    for (std::size_t i = 0; i < n; ++i)
      out.push_back(without_padding(bytes.data() + i * length, length));
    return out;
  }
  H5Handle attribute(hid_t object, const std::string& name) const {
    if (H5Aexists(object, name.c_str()) <= 0) reject("attribute " + name, "is missing");
    return {checked(H5Aopen(object, name.c_str(), H5P_DEFAULT), name), H5Aclose};
  }
  std::string attribute_text(hid_t object, const std::string& name) const {
    const H5Handle attribute = this->attribute(object, name);
    const H5Handle type(checked(H5Aget_type(attribute.get()), name), H5Tclose);
    const H5Handle space(checked(H5Aget_space(attribute.get()), name), H5Sclose);
    const std::size_t length = H5Tget_size(type.get());
    if (H5Tget_class(type.get()) != H5T_STRING || H5Tis_variable_str(type.get()) != 0 ||
        H5Sget_simple_extent_npoints(space.get()) != 1 || length > small_dataset)
      reject("attribute " + name, "is not a text");
    std::string bytes(length, '\0');
    const H5Handle memory = h5_text_type(length);
    done(H5Aread(attribute.get(), memory.get(), bytes.data()), name);
    return without_padding(bytes.data(), length);
  }

  /// @param pages what is written to, or empty to read
  static H5File opened(const std::filesystem::path& path, std::unique_ptr<PagedFile> pages,
                       const std::filesystem::path& shown) {
    H5File out(shown.empty() ? path : shown, std::move(pages));
    const H5Handle access = out.pages_ ? h5_paged_access(*out.pages_) : h5_file_access();
    out.id_ = H5Fopen(path.c_str(), out.pages_ ? H5F_ACC_RDWR : H5F_ACC_RDONLY, access.get());
    if (out.id_ < 0) {
      const std::string reason = h5_reason();
      const bool foreign = std::filesystem::is_regular_file(path) && H5Fis_hdf5(path.c_str()) == 0;
      throw Error("cannot open \"" + out.path_.string() +
                  "\": " + (foreign ? "it is no result file (not HDF5)" : reason));
    }
    return out;
  }
};

H5File::H5File(std::filesystem::path path, std::unique_ptr<PagedFile> pages)
    : path_(std::move(path)), pages_(std::move(pages)) {}

H5File::H5File(H5File&& other) noexcept
    : path_(std::move(other.path_)),
      id_(std::exchange(other.id_, -1)),
      pages_(std::move(other.pages_)) {}

H5File& H5File::operator=(H5File&& other) noexcept {
  std::swap(path_, other.path_);
  std::swap(id_, other.id_);
  std::swap(pages_, other.pages_);
  return *this;
}

H5File::~H5File() {
  if (id_ >= 0) H5Fclose(id_);
}

H5File H5File::create(const std::filesystem::path& file, const std::filesystem::path& shown) {
  prepare_h5();
  const std::filesystem::path& name = shown.empty() ? file : shown;
  H5File out(name, std::make_unique<PagedFile>(file, PagedFile::Mode::create, name));
  const H5Handle access = h5_paged_access(*out.pages_);
  out.id_ =
      Access{out}.checked(H5Fcreate(file.c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, access.get()), "");
  return out;
}
H5File H5File::open(const std::filesystem::path& file) {
  prepare_h5();
  return Access::opened(file, nullptr, {});
}
H5File H5File::open_to_append(const std::filesystem::path& file,
                              const std::filesystem::path& shown) {
  prepare_h5();
  const std::filesystem::path& name = shown.empty() ? file : shown;
  return Access::opened(file, std::make_unique<PagedFile>(file, PagedFile::Mode::open, name), name);
}

void H5File::close() {
  if (id_ < 0) return;
  Access{*this}.done(H5Fclose(std::exchange(id_, -1)), "");
  if (pages_) pages_->write_out();
}

void H5File::make_group(const std::string& name) {
  const H5Handle group(
      Access{*this}.checked(H5Gcreate2(id_, name.c_str(), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT),
                            name),
      H5Gclose);
}

void H5File::write(const std::string& name, std::span<const double> values,
                   const std::string& units, std::size_t columns) {
  Access{*this}.write_rows(name, values, columns, {H5T_NATIVE_DOUBLE, H5T_IEEE_F64LE}, units);
}
void H5File::write_float32(const std::string& name, std::span<const double> values,
                           const std::string& units) {
  const std::vector<float> rounded(values.begin(), values.end());
  Access{*this}.write_rows(name, std::span<const float>(rounded), 1,
                           {H5T_NATIVE_FLOAT, H5T_IEEE_F32LE}, units);
}
void H5File::write(const std::string& name, std::span<const std::int32_t> values,
                   const std::string& units, std::size_t columns) {
  Access{*this}.write_rows(name, values, columns, {H5T_NATIVE_INT32, H5T_STD_I32LE}, units);
}
void H5File::write_scalar(const std::string& name, double value, const std::string& units) {
  Access{*this}.write(name, &value, {}, {H5T_NATIVE_DOUBLE, H5T_IEEE_F64LE}, units);
}
void H5File::write_scalar(const std::string& name, std::int64_t value, const std::string& units) {
  Access{*this}.write(name, &value, {}, {H5T_NATIVE_INT64, H5T_STD_I64LE}, units);
}
void H5File::write_text(const std::string& name, const std::string& value) {
  const H5Handle type = h5_text_type(value.size());
  Access{*this}.write(name, value.c_str(), {}, {type.get(), type.get()}, text_unit);
}
void H5File::write_texts(const std::string& name, std::span<const std::string> values) {
  std::size_t length = 1;
  for (const std::string& value : values) length = std::max(length, value.size());
  std::string bytes(length * values.size(), '\0');
  for (std::size_t i = 0; i < values.size(); ++i)
    std::copy(values[i].begin(), values[i].end(),
              bytes.begin() + static_cast<std::ptrdiff_t>(i * length));
  const H5Handle type = h5_text_type(length);
  const std::array<hsize_t, 1> shape{values.size()};
  Access{*this}.write(name, bytes.data(), shape, {type.get(), type.get()}, text_unit);
}

void H5File::set_attribute(const std::string& name, const std::string& value) {
  Access{*this}.text_attribute(id_, name, value);
}
void H5File::set_attribute(const std::string& name, std::int64_t value) {
  const Access access{*this};
  const H5Handle attribute(
      access.checked(Access::file_attribute(id_, name.c_str(), H5T_STD_I64LE), name), H5Aclose);
  access.done(H5Awrite(attribute.get(), H5T_NATIVE_INT64, &value), name);
}

void H5File::copy_from(const H5File& other, const std::string& name) {
  if (!other.has(name)) Access{other}.reject(name, "is missing");
  Access{*this}.done(H5Ocopy(other.id_, name.c_str(), id_, name.c_str(), H5P_DEFAULT, H5P_DEFAULT),
                     name);
}

bool H5File::has(const std::string& name) const {
  for (std::size_t end = name.find('/', 1);; end = name.find('/', end + 1)) {
    if (H5Lexists(id_, name.substr(0, end).c_str(), H5P_DEFAULT) <= 0) return false;
    if (end == std::string::npos) return true;
  }
}

std::vector<std::string> H5File::members(const std::string& group) const {
  const Access access{*this};
  if (group != "/" && !has(group)) access.reject(group, "is missing");
  H5G_info_t info{};
  access.done(H5Gget_info_by_name(id_, group.c_str(), &info, H5P_DEFAULT), group);
  std::vector<std::string> out;
  for (hsize_t i = 0; i < info.nlinks; ++i) {
    const auto name = [&](char* buffer, std::size_t size) {
      return H5Lget_name_by_idx(id_, group.c_str(), H5_INDEX_NAME, H5_ITER_INC, i, buffer, size,
                                H5P_DEFAULT);
    };
    const ssize_t length = name(nullptr, 0);
    if (length < 0) access.fail(group);
    std::string text(static_cast<std::size_t>(length) + 1, '\0');
    if (name(text.data(), text.size()) < 0) access.fail(group);
    text.pop_back();
    out.push_back(text);
  }
  return out;
}

std::vector<double> H5File::read(const std::string& name, std::size_t columns,
                                 std::size_t rows) const {
  return Access{*this}.read_rows<double>(name, columns, rows, {H5T_FLOAT, H5T_NATIVE_DOUBLE});
}
std::vector<std::int32_t> H5File::read_int32(const std::string& name, std::size_t columns,
                                             std::size_t rows) const {
  return Access{*this}.read_rows<std::int32_t>(name, columns, rows,
                                               {H5T_INTEGER, H5T_NATIVE_INT32});
}
std::vector<std::string> H5File::read_texts(const std::string& name, std::size_t rows) const {
  return Access{*this}.read_texts(name, false, rows);
}
double H5File::read_scalar(const std::string& name) const {
  return Access{*this}.read_one<double>(name, {H5T_FLOAT, H5T_NATIVE_DOUBLE});
}
std::int64_t H5File::read_integer(const std::string& name) const {
  return Access{*this}.read_one<std::int64_t>(name, {H5T_INTEGER, H5T_NATIVE_INT64});
}
std::string H5File::read_text(const std::string& name) const {
  return Access{*this}.read_texts(name, true, any_rows).front();
}

std::string H5File::attribute(const std::string& name) const {
  return Access{*this}.attribute_text(id_, name);
}
std::string H5File::units(const std::string& name) const {
  const Access access{*this};
  return access.attribute_text(access.dataset(name).get(), units_attribute);
}
std::int64_t H5File::integer_attribute(const std::string& name) const {
  const Access access{*this};
  const H5Handle attribute = access.attribute(id_, name);
  const H5Handle type(access.checked(H5Aget_type(attribute.get()), name), H5Tclose);
  const H5Handle space(access.checked(H5Aget_space(attribute.get()), name), H5Sclose);
  if (H5Tget_class(type.get()) != H5T_INTEGER || H5Sget_simple_extent_npoints(space.get()) != 1)
    access.reject("attribute " + name, "is not a whole number");
  std::int64_t value = 0;
  access.done(H5Aread(attribute.get(), H5T_NATIVE_INT64, &value), name);
  return value;
}

}  // namespace firstshot
