#pragma once

#include <SDL.h>

#include <map>
#include <memory>
#include <optional>
#include <string>

#include "harness/run/axis_threshold.hpp"
#include "harness/run/run.hpp"
#include "harness/session/records.hpp"

namespace thumblight::harness {

/// The joysticks and controllers that are plugged in. Opened as they come; while any is open, SDL
/// has to be asked for events again and again and cannot sleep until one arrives.
class SdlDevices : public DeviceMatcher {
 public:
  /// `axis_share` is how far a trigger or stick goes, 0 to 1, until it counts as pressed.
  explicit SdlDevices(double axis_share);
  ~SdlDevices() override;
  SdlDevices(const SdlDevices&) = delete;
  SdlDevices& operator=(const SdlDevices&) = delete;

  /// Opens the device at SDL's device index and gives its instance; empty if it cannot be opened.
  std::optional<int> plugged_in(int device_index);
  void unplugged(int instance);
  bool any_open() const { return !open_.empty(); }

  /// Closes all devices and SDL's joystick part: a keyboard or mouse is tested without them.
  void shut_down();

  /// True if the device has the GUID of the one that `remember` was told of.
  bool same_device(int instance) override;
  void remember(int instance);

  AxisThreshold& axis(int instance, int axis);
  /// The hat's former value, which the caller replaces by its new one.
  int& hat(int instance, int hat);

  /// The control of the first open device to which its mapping gives this name ("a",
  /// "righttrigger"); empty if none has it.
  std::optional<Control> find_mapped(const std::string& name) const;
  /// The name that the device's mapping gives the control; empty if it gives none.
  std::string mapped_name(const Control& control) const;
  std::string device_name(int instance) const;
  /// Fills in what is known of the device: name, bus, driver, GUID, vendor, product.
  void describe(int instance, session::Input& input) const;
  /// The instance of any open device; empty if there is none.
  std::optional<int> first() const;

 private:
  struct Device {
    SDL_Joystick* joystick = nullptr;
    SDL_GameController* controller = nullptr;
    std::string guid;
    std::map<int, AxisThreshold> axes;
    std::map<int, int> hats;
  };

  void close(Device& device);

  double axis_share_;
  std::map<int, Device> open_;
  std::string remembered_guid_;
};

}  // namespace thumblight::harness
