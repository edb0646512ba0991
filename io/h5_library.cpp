#include "io/h5_library.hpp"

#include <algorithm>
#include <type_traits>

#include <hdf5.h>

namespace firstshot {

static_assert(std::is_same_v<hid_t, std::int64_t> && std::is_same_v<herr_t, int>);

void prepare_h5() {
  static const herr_t no_clean_up = H5dont_atexit();
  static_cast<void>(no_clean_up);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

std::string h5_reason() {
  struct Found {
    std::string system, own;
  } found;
  const auto visit = [](unsigned, const H5E_error2_t* entry, void* data) -> herr_t {
    auto& out = *static_cast<Found*>(data);
    const std::string text = entry->desc != nullptr ? entry->desc : "";
    const std::string mark = "error message = '";
    const std::size_t at = text.find(mark);
    if (at != std::string::npos && out.system.empty()) {
      const std::size_t begin = at + mark.size();
      out.system = text.substr(begin, text.find('\'', begin) - begin);
    }
    if (out.own.empty()) out.own = text;
    return 0;
  };
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, visit, &found);
  if (!found.system.empty()) return found.system;
  return found.own.empty() ? "unknown reason" : found.own;
}

H5Handle h5_text_type(std::size_t length) {
  const hid_t type = H5Tcopy(H5T_C_S1);
  H5Tset_size(type, std::max<std::size_t>(length, 1));
  H5Tset_strpad(type, H5T_STR_NULLPAD);
  H5Tset_cset(type, H5T_CSET_UTF8);
  return {type, H5Tclose};
}

H5Handle h5_file_access() {
  H5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
  H5Pset_file_locking(access.get(), false, true);
  H5Pset_fclose_degree(access.get(), H5F_CLOSE_STRONG);
  return access;
}

}  // namespace firstshot
