#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace thumblight::recording {

/// A digest that tells whether contents have changed, in hexadecimal: MurmurHash3 of 128 bits, by
/// FFmpeg's libavutil, since films are large. It is no guard against forgery.
std::string digest_of(std::string_view text);

/// The same of a file's content, or of the names and contents of the files in a folder, in the
/// order of their names. Throws `Error` if one cannot be read.
std::string digest_of_file(const std::filesystem::path& path);

}  // namespace thumblight::recording
