#include "analysis/timing/exchange_table.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <string_view>

#include "harness/session/error.hpp"

namespace thumblight::timing {
namespace {

constexpr std::array<std::string_view, 4> kColumns = {"t1_ns", "t2_s", "t3_s", "t4_ns"};
constexpr std::size_t kLongestLine = 4096;

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kBlank = " \t\r\"";
  const std::size_t begin = text.find_first_not_of(kBlank);
  return begin == std::string_view::npos
             ? std::string_view()
             : text.substr(begin, text.find_last_not_of(kBlank) - begin + 1);
}

std::vector<std::string_view> cells_of(std::string_view line) {
  std::vector<std::string_view> cells;
  for (std::size_t begin = 0; begin <= line.size();) {
    const std::size_t comma = std::min(line.find(',', begin), line.size());
    cells.push_back(trimmed(line.substr(begin, comma - begin)));
    begin = comma + 1;
  }
  return cells;
}

class Table {
 public:
  Table(std::istream& input, const std::string& name) : input_(input), name_(name) {}

  std::vector<session::Exchange> read() {
    if (!next()) {
      throw Error(name_ + ": the table is empty; its first line must be t1_ns,t2_s,t3_s,t4_ns");
    }
    find_columns();
    std::vector<session::Exchange> exchanges;
    while (next()) {
      const std::vector<std::string_view> cells = cells_of(line_);
      require_as_many(cells.size());
      session::Exchange exchange;
      take(cells, 0, exchange.t1_ns);
      take(cells, 1, exchange.t2_s);
      take(cells, 2, exchange.t3_s);
      take(cells, 3, exchange.t4_ns);
      exchanges.push_back(exchange);
    }
    return exchanges;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw Error(name_ + ": line " + std::to_string(number_) + ": " + what);
  }

  /// The next line that holds something.
  bool next() {
    while (std::getline(input_, line_)) {
      ++number_;
      if (line_.size() > kLongestLine) {
        fail("the line is too long for four numbers");
      }
      if (!trimmed(line_).empty() && line_[0] != '#') {
        return true;
      }
    }
    return false;
  }

  void find_columns() {
    const std::vector<std::string_view> names = cells_of(line_);
    width_ = names.size();
    for (std::size_t k = 0; k < kColumns.size(); ++k) {
      const auto found = std::find(names.begin(), names.end(), kColumns[k]);
      if (found == names.end()) {
        fail("the columns t1_ns, t2_s, t3_s and t4_ns are wanted in the first line");
      }
      places_[k] = static_cast<std::size_t>(found - names.begin());
    }
  }

  /// Decimal commas would shift every number behind them.
  void require_as_many(std::size_t cells) const {
    if (cells != width_) {
      fail(std::to_string(cells) + (cells == 1 ? " cell" : " cells") +
           " where the first line has " + std::to_string(width_) +
           "; separate them by commas and write decimals with points");
    }
  }

  template <typename Number>
  void take(const std::vector<std::string_view>& cells, std::size_t column, Number& into) const {
    const std::string_view cell = cells[places_[column]];
    const auto [end, code] = std::from_chars(cell.data(), cell.data() + cell.size(), into);
    bool is_good = code == std::errc() && end == cell.data() + cell.size();
    if constexpr (std::is_floating_point_v<Number>) {
      is_good = is_good && std::isfinite(into);
    }
    if (!is_good) {
      fail(std::string(kColumns[column]) + " is '" + std::string(cell.substr(0, 40)) +
           (std::is_floating_point_v<Number> ? "', not a number" : "', not a whole number") +
           "; mend or remove the line");
    }
  }

  std::istream& input_;
  const std::string& name_;
  std::string line_;
  std::int64_t number_ = 0;
  std::size_t width_ = 0;
  std::array<std::size_t, kColumns.size()> places_{};
};

}  // namespace

std::vector<session::Exchange> read_exchange_table(std::istream& input, const std::string& name) {
  return Table(input, name).read();
}

std::vector<session::Exchange> read_exchange_table(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  if (!input || std::filesystem::is_directory(file)) {
    throw Error(file.string() + ": cannot be read as a table of exchanges; check the path");
  }
  return read_exchange_table(input, file.string());
}

}  // namespace thumblight::timing
