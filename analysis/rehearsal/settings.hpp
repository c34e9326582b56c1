#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>

/// Everything a rehearsal can be told. Every figure has a default; times are seconds unless the
/// name says otherwise; light is linear, in shares of the level at which an SDR camera clips.
namespace thumblight::rehearsal {

enum class RecordingKind { kVideo, kSoundFile, kTable };
enum class DeliveryModel { kConstant, kPolling, kGamma, kWireless };
enum class Pacing { kOnPress, kEveryFrame, kFrameStart };
enum class GameKind { kNone, kFigure, kMenu };
enum class PanelKind { kSteady, kTube };
enum class Rise { kFirstOrder, kSCurve };
enum class ScanDirection { kDown, kUp, kRight, kLeft };
enum class Layout { kDesk, kSofa, kHandheld, kCloseUp };
enum class Curve { kLinear, kBt709, kSrgb, kHlg, kPq };
enum class Range { kLimited, kFull };
enum class RowOrder { kTopFirst, kBottomFirst };
enum class Stamps { kReal, kNominal, kConformed };
enum class Container { kMp4, kMov, kMkv, kWebm, kAvi };
enum class VideoCodec { kH264, kHevc, kVp9, kAv1, kMjpeg, kFfv1 };
enum class SoundCodec { kNone, kAac, kPcm };
enum class SoundFile { kWav, kW64, kFlac };

/// When the button is pressed and how its contact and the finger behave.
struct PressSettings {
  std::int64_t count = 20;
  double first_s = 0.8;    ///< first contact, in time of the bench
  double gap_min_s = 0.7;  ///< between contacts, uniform up to gap_max_s
  double gap_max_s = 1.1;
  double contact_hold_s = 0.12;
  std::int64_t bounces = 0;  ///< openings after the first closing, within bounce_s
  double bounce_s = 0.002;
  double repeat_share = 0.0;  ///< of presses that are repeated while the patch is lit
  double repeat_after_s = 0.09;
  double finger_lead_min_s = 0.010;  ///< from the finger's first movement to the contact
  double finger_lead_max_s = 0.025;
  double finger_follow_min_s = 0.003;  ///< from the contact to the end of travel
  double finger_follow_max_s = 0.008;
};

/// From the contact to the event's arrival at the program.
struct DeliverySettings {
  DeliveryModel model = DeliveryModel::kPolling;
  double base_s = 0.001;      ///< constant part, in every model
  double interval_s = 0.008;  ///< of polling; the contact is seen at the next poll
  double shape = 2.0;         ///< gamma
  double scale_s = 0.002;
  double radio_interval_s = 0.0075;  ///< wireless: a transmission can start this often ...
  double radio_loss = 0.1;           ///< ... and fails with this probability
};

/// The host's clock and the program that draws.
struct HostSettings {
  std::int64_t theta0_ns = 86'400'123'456'789;
  double theta1 = 0.0;        ///< host seconds per recording second, less one
  double theta2_per_s = 0.0;  ///< drift of that rate
  Pacing pacing = Pacing::kOnPress;
  bool vsync = true;
  double work_min_s = 0.0002;  ///< from being ready to draw to the call of present
  double work_max_s = 0.0005;
  double return_min_s = 0.0001;  ///< from the flip (without vsync: the submit) to present's return
  double return_max_s = 0.0004;
  double guard_s = 0.002;  ///< every-frame: a frame is submitted this long before its refresh
  double hold_s = 0.15;
  double rest_s = 0.3;
};

/// The screen. Its rows are scanned out one after another; `row` is a share of its visible height.
struct DisplaySettings {
  int width = 1920;
  int height = 1080;
  double refresh_hz = 60.0;
  double scanout_share =
      0.96;  ///< of a refresh, from the first visible row to the last; 0: at once
  ScanDirection scan = ScanDirection::kDown;
  std::int64_t queued_refreshes = 0;
  double processing_s = 0.0;
  PanelKind panel = PanelKind::kSteady;
  Rise rise = Rise::kFirstOrder;
  double rise_s = 0.004;  ///< 10 % to 90 % of the step in luminance
  double fall_s = 0.004;
  double pwm_hz = 0.0;  ///< of the backlight; 0: steady
  double pwm_duty = 0.5;
  double phosphor_s = 0.0007;  ///< tube: decay to 1/e
  double bright = 0.60;        ///< mean light of the patch
  double dark = 0.01;
  double surround = 0.015;  ///< of the rest of the screen
  double patch_x = 0.36;    ///< the patch, in shares of the screen
  double patch_y = 0.30;
  double patch_w = 0.28;
  double patch_h = 0.40;
};

/// A game on the screen in place of the patch, for a device that keeps no log. A figure jumps, or a
/// menu's choice moves on, at the refresh at which the patch would have turned bright. Places and
/// sizes are shares of the screen.
struct GameSettings {
  GameKind kind = GameKind::kNone;
  double ground = 0.10;
  double ground_contrast = 0.0;  ///< of its blocks, share of the ground's level
  double scroll_per_s = 0.0;     ///< screens of ground that pass in a second
  double actor = 0.40;           ///< level of the figure, or of the chosen item
  double actor_x = 0.42;
  double actor_y = 0.60;
  double actor_w = 0.07;
  double actor_h = 0.18;
  double jump_height = 0.25;
  double jump_s = 0.40;       ///< in the air, were it to leave the ground at once
  double jump_ease_s = 0.0;   ///< it gathers its speed over this time
  double idle_height = 0.0;   ///< the figure breathes up and down by so much ...
  double idle_hz = 0.7;       ///< ... so often
  double pose_hz = 0.0;       ///< changes between two poses
  double blink_hz = 0.0;      ///< of the title; 0: none
  double title = 0.45;        ///< its level
  bool whole_screen = false;  ///< the region that setup.json tells is the whole screen
};

/// A lamp wired to the button, and one that the host switches.
struct LampSettings {
  bool on_button = true;
  double level = 0.7;
  double rise_s = 0.000'002;  ///< 10 % to 90 %
  bool on_host = false;
  double host_level = 0.7;
  double host_lag_min_s = 0.0002;
  double host_lag_max_s = 0.0010;
};

/// What stands before the camera.
struct SceneSettings {
  Layout layout = Layout::kDesk;
  double ambient = 0.25;
  double flicker = 0.0;  ///< share of the ambient light that the mains modulate
  double flicker_hz = 100.0;
  double texture = 0.25;  ///< contrast of the surfaces
  double spill = 0.0;     ///< light of the patch on the room, share of its own
  bool finger = true;
  double hand_sway = 0.0;      ///< share of the picture's height
  double shake = 0.0;          ///< of the camera, share of the picture's height
  double auto_exposure = 0.0;  ///< slow change of the gain, share, both ways
  double auto_exposure_period_s = 5.0;
};

struct CameraSettings {
  int width =
      320;  ///< of the upright picture; turned by 90 degrees, the stored one is height x width
  int height = 180;
  double nominal_hz = 240.0;
  double rate_error = 0.0;  ///< true rate = nominal * (1 + rate_error), on the recording's clock
  double interval_jitter = 0.0;  ///< of each frame's start, uniform, +- share of the frame time
  double rate_wander = 0.0;      ///< slow change of the rate, share, both ways
  double rate_wander_period_s = 3.0;
  double dropped = 0.0;         ///< probability of a frame that is missing from the file
  double doubled = 0.0;         ///< of a frame that shows the one before it again
  double exposure_share = 0.8;  ///< of the nominal frame time
  double readout_s = 0.003;     ///< first row's start to last row's; 0: a global shutter
  RowOrder row_order = RowOrder::kTopFirst;
  int rotation_deg =
      0;  ///< clockwise turn that a player must give the stored picture: 0, 90, 180, 270
  Curve curve = Curve::kBt709;
  int bits = 8;
  Range range = Range::kLimited;
  double hlg_white = 0.265;  ///< scene light of level 1 in HLG
  double pq_white_cd_m2 = 203.0;
  double read_noise = 0.0;
  double full_well = 0.0;  ///< electrons at level 1; 0: no shot noise
  double lead_out_s = 0.6;
};

struct FileSettings {
  Container container = Container::kMp4;
  VideoCodec codec = VideoCodec::kH264;
  double quality = 18.0;  ///< constant quality on the encoder's own scale; FFV1 loses nothing
  int b_frames = 0;       ///< in a row, H.264 and HEVC; encoders in cameras seldom have any
  bool colour_tags = true;
  int ticks_per_s = 90'000;  ///< of the time stamps; Matroska has 1000, AVI the frame rate
  Stamps stamps = Stamps::kReal;
  double playback_hz = 30.0;           ///< conformed files are stamped at this rate
  bool capture_rate_metadata = false;  ///< MP4 and MOV
  SoundCodec sound = SoundCodec::kNone;
  int sound_rate_hz = 48'000;
  double sound_offset_s = 0.0;  ///< sound comes this much late in the file
  double air_distance_m = 0.5;  ///< from the button to the microphone
  double sound_noise = 0.002;
};

/// Light sensor and contact, sampled together.
struct SensorSettings {
  SoundFile file = SoundFile::kWav;
  double rate_hz = 48'000.0;
  int bits = 16;  ///< of a sound file, 16 or 24; of a table, the converter's
  bool light_first = true;
  bool invert_light = false;
  bool invert_contact = false;
  double ac_coupling_s = 0.0;   ///< time constant of both channels; 0: none
  double light_filter_s = 0.0;  ///< time constant of the light sensor
  double noise = 0.002;         ///< share of full scale
  double spot_row = 0.5;        ///< where the sensor looks, share of the patch's height
  double spot_height = 0.0;     ///< what it sees, share of the patch's height
  double level = 0.5;  ///< of the bright patch and of the closed contact, share of full scale
  double interval_jitter = 0.2;     ///< table: of each sample's time, +- share of the interval
  bool host_stamps = false;         ///< table: times are on the host's clock
  std::int64_t exchanges = 0;       ///< request/response stamps in the log
  double exchange_min_s = 0.0002;   ///< each way, at least ...
  double exchange_mean_s = 0.0003;  ///< ... and this much more on average, exponential
};

/// What setup.json tells.
struct SetupSettings {
  bool capture_rate = true;
  bool readout = true;
  bool regions = false;
  bool sound = true;      ///< distance and offset of the sound track
  bool channels = false;  ///< which channel of a sensor's sound file is which
  bool lamp_lag = true;
  std::map<std::string, std::string> labels = {{"controller", "heron"},
                                               {"connection", "wired"},
                                               {"device", "bench"},
                                               {"display", "plain panel"},
                                               {"program", "rehearsal"}};
};

struct Settings {
  std::uint64_t seed = 1;
  RecordingKind recording = RecordingKind::kVideo;
  bool log = true;  ///< false: the device keeps none (a console, a television)
  PressSettings press;
  DeliverySettings delivery;
  HostSettings host;
  DisplaySettings display;
  GameSettings game;
  LampSettings lamp;
  SceneSettings scene;
  CameraSettings camera;
  FileSettings file;
  SensorSettings sensor;
  SetupSettings setup;
};

/// Throws `Error` naming the first setting that makes no sense.
void check(const Settings& settings);

/// As JSON, every setting written out.
std::string settings_text(const Settings& settings);

/// From JSON: settings that are absent keep their defaults, or those of the preset that the key
/// `preset` names. An unknown key, a wrong type or a senseless value throws `Error`.
Settings parse_settings(const std::string& text, const std::string& name);

/// What the recording is called in the folder.
std::string recording_name(const Settings& settings);

}  // namespace thumblight::rehearsal
