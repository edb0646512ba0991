#include "io/h5_driver.hpp"

#include <limits>

#include <hdf5.h>

namespace firstshot {
namespace {

/// What the library hands from the way of opening to the opened file.
struct Target {
  PagedFile* file;
};

/// The library's record of an open file, with ours behind it.
struct Opened {
  H5FD_t base;
  PagedFile* file;
  haddr_t end_of_addresses;  ///< up to which the library has given out room
};
Opened& opened(H5FD_t* file) { return *reinterpret_cast<Opened*>(file); }
const Opened& opened(const H5FD_t* file) { return *reinterpret_cast<const Opened*>(file); }

constexpr herr_t done = 0;
constexpr herr_t failed = -1;

H5FD_t* open_file(const char*, unsigned flags, hid_t access, haddr_t) {
  const auto* target = static_cast<const Target*>(H5Pget_driver_info(access));
  if (target == nullptr) return nullptr;
  if ((flags & H5F_ACC_TRUNC) != 0) target->file->resize(0);
  auto* out = new Opened{};
  out->file = target->file;
  return &out->base;
}
herr_t close_file(H5FD_t* file) {
  delete &opened(file);
  return done;
}
herr_t tell_features(const H5FD_t*, unsigned long* flags) {
  *flags = H5FD_FEAT_AGGREGATE_METADATA | H5FD_FEAT_ACCUMULATE_METADATA | H5FD_FEAT_DATA_SIEVE |
           H5FD_FEAT_AGGREGATE_SMALLDATA;
  return done;
}
haddr_t end_of_addresses(const H5FD_t* file, H5FD_mem_t) { return opened(file).end_of_addresses; }
herr_t set_end_of_addresses(H5FD_t* file, H5FD_mem_t, haddr_t end) {
  opened(file).end_of_addresses = end;
  return done;
}
haddr_t end_of_file(const H5FD_t* file, H5FD_mem_t) { return opened(file).file->size(); }
herr_t read_bytes(H5FD_t* file, H5FD_mem_t, hid_t, haddr_t at, size_t n, void* out) {
  return opened(file).file->read(at, {static_cast<char*>(out), n}) ? done : failed;
}
herr_t write_bytes(H5FD_t* file, H5FD_mem_t, hid_t, haddr_t at, size_t n, const void* bytes) {
  return opened(file).file->write(at, {static_cast<const char*>(bytes), n}) ? done : failed;
}
herr_t cut(H5FD_t* file, hid_t, hbool_t) {
  opened(file).file->resize(opened(file).end_of_addresses);
  return done;
}

hid_t paged_driver() {
  static const hid_t driver = [] {
    H5FD_class_t calls{};
    calls.name = "firstshot_pages";
    calls.maxaddr = static_cast<haddr_t>(std::numeric_limits<std::int64_t>::max());
    calls.fc_degree = H5F_CLOSE_STRONG;
    calls.fapl_size = sizeof(Target);
    calls.open = open_file;
    calls.close = close_file;
    calls.query = tell_features;
    calls.get_eoa = end_of_addresses;
    calls.set_eoa = set_end_of_addresses;
    calls.get_eof = end_of_file;
    calls.read = read_bytes;
    calls.write = write_bytes;
    calls.truncate = cut;
    constexpr H5FD_mem_t room_by_content[] = H5FD_FLMAP_DICHOTOMY;
    for (std::size_t i = 0; i < H5FD_MEM_NTYPES; ++i) calls.fl_map[i] = room_by_content[i];
    return H5FDregister(&calls);
  }();
  return driver;
}

}  // namespace

H5Handle h5_paged_access(PagedFile& file) {
  H5Handle access = h5_file_access();
  const Target target{&file};
  H5Pset_driver(access.get(), paged_driver(), &target);
  return access;
}

}  // namespace firstshot
