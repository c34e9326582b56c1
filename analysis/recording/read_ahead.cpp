#include "analysis/recording/read_ahead.hpp"

#include <utility>

namespace thumblight::recording {
namespace {

constexpr std::size_t kMostWaiting = 3;  ///< each holds a whole picture

}  // namespace

ReadAhead::ReadAhead(std::unique_ptr<FrameSource> source)
    : source_(std::move(source)),
      frames_(
          [this](Frame& frame) {
            const bool more = source_->next(frame);
            faults_ = source_->faults();
            return more;
          },
          kMostWaiting) {}

}  // namespace thumblight::recording
