// How a file is known again: cheaply by size and sampled blocks, and for the record by its SHA-256.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>

#include "base/result.h"
#include "media/clip_bytes.h"

namespace plumbmark::media {

/// Tells files apart quickly; no proof that two are equal (the parts between the samples are not read).
struct Fingerprint {
    std::uint64_t size = 0;  ///< bytes
    std::string sample;      ///< 64 hexadecimal digits
    friend bool operator==(const Fingerprint&, const Fingerprint&) = default;
};

/// What a reading is about.
struct Reading {
    std::filesystem::path path;  ///< for messages
    std::stop_token stop;        ///< ends it with Category::cancelled, also on a drive that does not answer
};

/// SHA-256 over the size (8 bytes, little-endian) and up to 16 blocks of 16 KiB, the first at the start, the
/// last at the end, the others evenly between at floor(i * (size - 16384) / 15); a file of at most 256 KiB is
/// taken whole. Errors: not_found, bad_input (a directory), damaged (empty), io, cancelled. Any thread.
[[nodiscard]] base::Result<Fingerprint> fingerprint(const std::filesystem::path& path,
                                                    std::stop_token stop = {});
/// The same of bytes that are open; the thread that owns them.
[[nodiscard]] base::Result<Fingerprint> fingerprint(ClipBytes& bytes, const Reading& reading);

/// SHA-256 (FIPS 180-4) of the whole file, 64 lower-case hexadecimal digits. Errors as fingerprint.
/// 'progress' gets the share done, 0 to 1, after each MiB. Any thread; reads the whole file, so not the UI
/// thread.
[[nodiscard]] base::Result<std::string> sha256_file(const std::filesystem::path& path,
                                                    std::stop_token stop = {},
                                                    const std::function<void(double)>& progress = {});
/// The same of bytes that are open; the thread that owns them.
[[nodiscard]] base::Result<std::string> sha256_file(ClipBytes& bytes, const Reading& reading,
                                                    const std::function<void(double)>& progress = {});

}  // namespace plumbmark::media
