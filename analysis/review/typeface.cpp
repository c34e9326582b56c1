#include "analysis/review/typeface.hpp"

#include <fontconfig/fontconfig.h>
#include <imgui.h>

#include <filesystem>
#include <memory>

namespace thumblight::review {
namespace {

using Pattern = std::unique_ptr<FcPattern, decltype(&FcPatternDestroy)>;
using Config = std::unique_ptr<FcConfig, decltype(&FcConfigDestroy)>;

/// Latin, Greek, Cyrillic, and the signs that the window writes.
constexpr ImWchar kLetters[] = {0x0020, 0x024F, 0x0370, 0x03FF, 0x0400, 0x04FF,
                                0x2010, 0x2027, 0x2190, 0x2193, 0};

ImFont* load(const std::string& file, float size) {
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  if (!file.empty() && std::filesystem::exists(file)) {
    if (ImFont* font = atlas.AddFontFromFileTTF(file.c_str(), size, nullptr, kLetters)) {
      return font;
    }
  }
  ImFontConfig config;
  config.SizePixels = size;
  return atlas.AddFontDefault(&config);
}

}  // namespace

std::string letters_file(bool strong) {
  const Config config(FcInitLoadConfigAndFonts(), &FcConfigDestroy);
  const Pattern wanted(FcPatternCreate(), &FcPatternDestroy);
  FcPatternAddString(wanted.get(), FC_FAMILY, reinterpret_cast<const FcChar8*>("sans-serif"));
  FcPatternAddString(wanted.get(), FC_FONTFORMAT, reinterpret_cast<const FcChar8*>("TrueType"));
  FcPatternAddInteger(wanted.get(), FC_WEIGHT, strong ? FC_WEIGHT_BOLD : FC_WEIGHT_REGULAR);
  FcPatternAddInteger(wanted.get(), FC_SLANT, FC_SLANT_ROMAN);
  FcConfigSubstitute(config.get(), wanted.get(), FcMatchPattern);
  FcDefaultSubstitute(wanted.get());
  FcResult outcome = FcResultNoMatch;
  const Pattern found(FcFontMatch(config.get(), wanted.get(), &outcome), &FcPatternDestroy);
  FcChar8* file = nullptr;
  if (!found || FcPatternGetString(found.get(), FC_FILE, 0, &file) != FcResultMatch) {
    return "";
  }
  return reinterpret_cast<const char*>(file);
}

Typeface load_typeface(double size) {
  ImGui::GetIO().Fonts->Clear();
  const auto pixels = static_cast<float>(size);
  return {load(letters_file(false), pixels), load(letters_file(true), pixels), size};
}

}  // namespace thumblight::review
