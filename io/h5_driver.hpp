// Lets the HDF5 library read and write through a PagedFile instead of the disk.
#pragma once

#include "io/h5_library.hpp"
#include "io/paged_file.hpp"

namespace firstshot {

/// Way of opening a file whose bytes are those of `file`, which must outlive it. Name and mode
/// given to the library do not count; only "empty it first" is obeyed.
H5Handle h5_paged_access(PagedFile& file);

}  // namespace firstshot
