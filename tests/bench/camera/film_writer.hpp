#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <vector>

#include "analysis/rehearsal/av_handles.hpp"
#include "tests/bench/virtual_display.hpp"

struct SwsContext;

namespace thumblight::bench {

/// Writes pictures of a screen as a camera's film: MP4, H.264, 4:2:0, limited range, each with the
/// stamp it is given. The screen's codes are kept and tagged as what they are (sRGB).
class FilmWriter {
 public:
  static constexpr int kTicksPerS = 1'000'000;

  /// `rate_hz` is what the film is marked with; the stamps alone tell its time. Width and height
  /// must be even. Throws `Error` if it cannot be written.
  FilmWriter(const std::filesystem::path& file, Size size, double rate_hz);
  ~FilmWriter();
  FilmWriter(const FilmWriter&) = delete;
  FilmWriter& operator=(const FilmWriter&) = delete;

  /// `pixels` are 0x00RRGGBB; each stamp must be later than the one before.
  void write(const std::vector<std::uint32_t>& pixels, std::int64_t stamp_ticks);
  void finish();

 private:
  struct FreeScaler {
    void operator()(SwsContext* scaler) const;
  };

  void open_codec(double rate_hz);
  void open_frame();

  std::string file_;
  Size size_;
  rehearsal::OutputHandle output_;
  rehearsal::CodecHandle codec_;
  rehearsal::FrameHandle frame_;
  std::unique_ptr<SwsContext, FreeScaler> scaler_;
  AVStream* stream_ = nullptr;
};

}  // namespace thumblight::bench
