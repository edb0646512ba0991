// The last line of a file that we wrote: a mark of all bytes before it. A reader that checks it
// first never shows a damaged file to a library that trusts what it reads: the HDF5 library crashes
// on wrong bytes in its own records. Good against damage (a bad disk, a broken copy), not against
// malice.
//
//   "\nseal 0123456789abcdef\n"   64-bit FNV-1a hash [FowlerNollVo], 16 hexadecimal digits
//
// HDF5 files may be longer than their own content, so other readers do not mind the line.
#pragma once

#include <filesystem>

namespace firstshot {

/// Length of the line [bytes].
inline constexpr std::size_t seal_length = 23;

/// Adds the line to a file without one. @param shown name in errors
/// @throws Error naming the file and the system's reason, as on a full disk
void add_seal(const std::filesystem::path& file, const std::filesystem::path& shown);

/// @throws Error when the file cannot be read, has no seal, or other bytes than when it was sealed
void check_seal(const std::filesystem::path& file);

}  // namespace firstshot
