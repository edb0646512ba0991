// Files that are either whole or not there. New content goes to a temporary file in the same
// folder, is forced to the disk, and is then renamed over the old file, which POSIX does in one
// indivisible step. A program killed at any moment, a full disk or a power cut leaves the old file
// or the new one, never a mix.
//
// The temporary file of "a/b.json" is "a/b.json.<process>.tmp"; it is removed when writing fails,
// and remains only when the program is killed (see is_temporary_of).
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace firstshot {

/// Replaces the file by `bytes`, as a whole. @throws Error naming the file and the system's reason
void write_atomically(const std::filesystem::path& file, std::string_view bytes);

/// Name under which new content of `file` is prepared: same folder, one per process.
std::filesystem::path temporary_name(const std::filesystem::path& file);

/// True when `candidate` is a name that temporary_name(file) gives in some process.
bool is_temporary_of(std::string_view candidate, std::string_view file);

/// Forces `prepared` to the disk and renames it to `file` in the same folder. `prepared` is removed
/// when that fails.
/// @throws Error naming `file` and the system's reason
void replace_atomically(const std::filesystem::path& prepared, const std::filesystem::path& file);

/// Copies the bytes of a file; `to` is removed when that fails. @param shown name of `to` in errors
/// @throws Error naming the file at fault
void copy_bytes(const std::filesystem::path& from, const std::filesystem::path& to,
                const std::filesystem::path& shown);

}  // namespace firstshot
