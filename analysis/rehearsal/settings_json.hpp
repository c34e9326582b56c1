#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "analysis/rehearsal/settings.hpp"
#include "harness/session/error.hpp"

/// The settings' way in and out of JSON.
namespace thumblight::rehearsal {

template <class Enum>
struct EnumName {
  Enum value;
  const char* name;
};

inline constexpr EnumName<RecordingKind> kRecordingKindNames[] = {
    {RecordingKind::kVideo, "video"},
    {RecordingKind::kSoundFile, "sound"},
    {RecordingKind::kTable, "table"}};
inline constexpr EnumName<DeliveryModel> kDeliveryModelNames[] = {
    {DeliveryModel::kConstant, "constant"},
    {DeliveryModel::kPolling, "polling"},
    {DeliveryModel::kGamma, "gamma"},
    {DeliveryModel::kWireless, "wireless"}};
inline constexpr EnumName<Pacing> kPacingNames[] = {{Pacing::kOnPress, "on-press"},
                                                    {Pacing::kEveryFrame, "every-frame"},
                                                    {Pacing::kFrameStart, "frame-start"}};
inline constexpr EnumName<GameKind> kGameKindNames[] = {
    {GameKind::kNone, "none"}, {GameKind::kFigure, "figure"}, {GameKind::kMenu, "menu"}};
inline constexpr EnumName<PanelKind> kPanelKindNames[] = {{PanelKind::kSteady, "steady"},
                                                          {PanelKind::kTube, "tube"}};
inline constexpr EnumName<Rise> kRiseNames[] = {{Rise::kFirstOrder, "first-order"},
                                                {Rise::kSCurve, "s-curve"}};
inline constexpr EnumName<ScanDirection> kScanDirectionNames[] = {{ScanDirection::kDown, "down"},
                                                                  {ScanDirection::kUp, "up"},
                                                                  {ScanDirection::kRight, "right"},
                                                                  {ScanDirection::kLeft, "left"}};
inline constexpr EnumName<Layout> kLayoutNames[] = {{Layout::kDesk, "desk"},
                                                    {Layout::kSofa, "sofa"},
                                                    {Layout::kHandheld, "handheld"},
                                                    {Layout::kCloseUp, "close-up"}};
inline constexpr EnumName<Curve> kCurveNames[] = {{Curve::kLinear, "linear"},
                                                  {Curve::kBt709, "bt709"},
                                                  {Curve::kSrgb, "srgb"},
                                                  {Curve::kHlg, "hlg"},
                                                  {Curve::kPq, "pq"}};
inline constexpr EnumName<Range> kRangeNames[] = {{Range::kLimited, "limited"},
                                                  {Range::kFull, "full"}};
inline constexpr EnumName<RowOrder> kRowOrderNames[] = {{RowOrder::kTopFirst, "top-first"},
                                                        {RowOrder::kBottomFirst, "bottom-first"}};
inline constexpr EnumName<Stamps> kStampsNames[] = {
    {Stamps::kReal, "real"}, {Stamps::kNominal, "nominal"}, {Stamps::kConformed, "conformed"}};
inline constexpr EnumName<Container> kContainerNames[] = {{Container::kMp4, "mp4"},
                                                          {Container::kMov, "mov"},
                                                          {Container::kMkv, "mkv"},
                                                          {Container::kWebm, "webm"},
                                                          {Container::kAvi, "avi"}};
inline constexpr EnumName<VideoCodec> kVideoCodecNames[] = {
    {VideoCodec::kH264, "h264"}, {VideoCodec::kHevc, "hevc"},   {VideoCodec::kVp9, "vp9"},
    {VideoCodec::kAv1, "av1"},   {VideoCodec::kMjpeg, "mjpeg"}, {VideoCodec::kFfv1, "ffv1"}};
inline constexpr EnumName<SoundCodec> kSoundCodecNames[] = {
    {SoundCodec::kNone, "none"}, {SoundCodec::kAac, "aac"}, {SoundCodec::kPcm, "pcm"}};
inline constexpr EnumName<SoundFile> kSoundFileNames[] = {
    {SoundFile::kWav, "wav"}, {SoundFile::kW64, "w64"}, {SoundFile::kFlac, "flac"}};

constexpr const auto& names_of(RecordingKind) {
  return kRecordingKindNames;
}
constexpr const auto& names_of(DeliveryModel) {
  return kDeliveryModelNames;
}
constexpr const auto& names_of(Pacing) {
  return kPacingNames;
}
constexpr const auto& names_of(GameKind) {
  return kGameKindNames;
}
constexpr const auto& names_of(PanelKind) {
  return kPanelKindNames;
}
constexpr const auto& names_of(Rise) {
  return kRiseNames;
}
constexpr const auto& names_of(ScanDirection) {
  return kScanDirectionNames;
}
constexpr const auto& names_of(Layout) {
  return kLayoutNames;
}
constexpr const auto& names_of(Curve) {
  return kCurveNames;
}
constexpr const auto& names_of(Range) {
  return kRangeNames;
}
constexpr const auto& names_of(RowOrder) {
  return kRowOrderNames;
}
constexpr const auto& names_of(Stamps) {
  return kStampsNames;
}
constexpr const auto& names_of(Container) {
  return kContainerNames;
}
constexpr const auto& names_of(VideoCodec) {
  return kVideoCodecNames;
}
constexpr const auto& names_of(SoundCodec) {
  return kSoundCodecNames;
}
constexpr const auto& names_of(SoundFile) {
  return kSoundFileNames;
}

template <class Enum>
concept Named = requires(Enum value) {
  names_of(value);
};

template <Named Enum>
std::string name_of(Enum value) {
  for (const auto& entry : names_of(value)) {
    if (entry.value == value) {
      return entry.name;
    }
  }
  throw Error("a setting holds a value without a name");
}

template <Named Enum>
void to_json(nlohmann::json& object, Enum value) {
  object = name_of(value);
}

template <Named Enum>
void from_json(const nlohmann::json& object, Enum& value) {
  const auto& given = object.get_ref<const std::string&>();
  std::string known;
  for (const auto& entry : names_of(value)) {
    if (given == entry.name) {
      value = entry.value;
      return;
    }
    known += std::string(known.empty() ? "" : ", ") + entry.name;
  }
  throw Error('"' + given + "\" is none of " + known);
}

void to_json(nlohmann::json& object, const Settings& settings);

}  // namespace thumblight::rehearsal
