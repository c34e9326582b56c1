#include "analysis/onset/change_shape.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "analysis/onset/edge_response.hpp"

namespace thumblight::onset {
namespace {

constexpr int kParts = 3;            ///< pictures whose share is fitted
constexpr double kCorrelated = 2;    ///< neighbouring frames err alike: half as many count
constexpr double kSurePart = 5;      ///< standard deviations at which a part is there
constexpr double kLeastPart = 0.03;  ///< of the whole change
constexpr double kStep = 1.0 / 16;   ///< of a frame, of the search
constexpr std::array kDecays_s = {0.0002, 0.0012, 0.0025, 0.005};
constexpr double kUsualPicture_s = 1 / 60.0;
constexpr double kUnusual = 1.5;  ///< so much better another rate must explain the traces
constexpr std::array kPictures_s = {1 / 120.0, 1 / 60.0, 1 / 50.0, 1 / 30.0};

bool is_there(double part, double u, double whole) {
  return std::abs(part) > kSurePart * u && std::abs(part) > kLeastPart * whole;
}

using Parts = std::array<double, kParts>;

/// A course in the making.
struct Attempt {
  double decay_s = 0;
  double picture_s = 0;
  Parts parts{};
  Parts parts_u{};
  std::vector<double> begins_s;
  double squares = std::numeric_limits<double>::max();
  double begin_u_s = 0;
};

class CourseFit {
 public:
  CourseFit(const std::vector<ChangeTrace>& traces, const ChangeSearch& search)
      : traces_(traces), search_(search) {}

  Attempt fitted(double decay_s, double picture_s) {
    response_ = EdgeResponse({0, decay_s}, search_.exposure_s, 0);
    Attempt attempt;
    attempt.decay_s = decay_s;
    attempt.picture_s = picture_s;
    for (const ChangeTrace& trace : traces_) {
      attempt.begins_s.push_back(trace.about_s);
    }
    for (int round = 0; round < 4; ++round) {
      settle(attempt);
      for (std::size_t k = 0; k < traces_.size(); ++k) {
        attempt.begins_s[k] = best_place(attempt, k).begin_s;
      }
      const double before = attempt.squares;
      settle(attempt);
      find_first(attempt);
      if (attempt.squares > 0.999 * before) {
        break;
      }
    }
    return attempt;
  }

  PlacedChange best_place(const Attempt& attempt, std::size_t k) const {
    const double reach_s = 2.3 * attempt.picture_s;
    const double step_s = kStep * search_.interval_s;
    const int steps = static_cast<int>(std::ceil(reach_s / step_s));
    std::vector<double> squares;
    int best = -steps;
    for (int i = -steps; i <= steps; ++i) {
      squares.push_back(squares_at(attempt, k, traces_[k].about_s + i * step_s));
      best = squares.back() < squares[static_cast<std::size_t>(best + steps)] ? i : best;
    }
    PlacedChange placed;
    placed.begin_s = traces_[k].about_s + best * step_s;
    const double least = squares[static_cast<std::size_t>(best + steps)];
    const auto frames = static_cast<double>(traces_[k].amount.size());
    placed.misfit = std::sqrt(least / frames);
    judge(squares, best + steps, least / frames, placed);
    return placed;
  }

 private:
  /// Spread of the likelihood, and whether it has another place.
  void judge(const std::vector<double>& squares, int best, double variance,
             PlacedChange& placed) const {
    const double scale = 2 * kCorrelated * std::max(variance, search_.noise * search_.noise);
    double sum = 0;
    double spread = 0;
    double far = 0;
    for (std::size_t i = 0; i < squares.size(); ++i) {
      const double weight =
          std::exp(-(squares[i] - squares[static_cast<std::size_t>(best)]) / scale);
      const double away_s = (static_cast<double>(i) - best) * kStep * search_.interval_s;
      sum += weight;
      spread += weight * away_s * away_s;
      far += std::abs(away_s) > 1.5 * search_.interval_s ? weight : 0;
    }
    constexpr double kUnlikely = 0.05;
    placed.u_s = std::sqrt(spread / sum);
    placed.one_place = far < kUnlikely * sum;
  }

  double part_at(const Attempt& attempt, int part, double begin_s, double start_s) const {
    return response_(start_s - begin_s - part * attempt.picture_s);
  }

  double squares_at(const Attempt& attempt, std::size_t k, double begin_s) const {
    const ChangeTrace& trace = traces_[k];
    double sum = 0;
    double mean = 0;
    for (std::size_t i = 0; i < trace.amount.size(); ++i) {
      double left = trace.amount[i];
      for (int part = 0; part < kParts; ++part) {
        left -= attempt.parts[static_cast<std::size_t>(part)] *
                part_at(attempt, part, begin_s, trace.start_s[i]);
      }
      sum += left * left;
      mean += left / static_cast<double>(trace.amount.size());
    }
    // A coder holds its errors over many frames: each trace has a level of its own.
    return sum - mean * mean * static_cast<double>(trace.amount.size());
  }

  /// The parts that suit the beginnings best, and one part more before them if asked for.
  struct Solved {
    Eigen::VectorXd parts;
    Eigen::VectorXd u;
    double squares = 0;
  };

  Solved solve(const Attempt& attempt, int first_part) const {
    const int count = kParts - first_part;
    Eigen::MatrixXd square = Eigen::MatrixXd::Zero(count, count);
    Eigen::VectorXd product = Eigen::VectorXd::Zero(count);
    double all = 0;
    double frames = 0;
    for (std::size_t k = 0; k < traces_.size(); ++k) {
      const ChangeTrace& trace = traces_[k];
      const auto n = static_cast<Eigen::Index>(trace.amount.size());
      Eigen::MatrixXd rows(count, n);
      for (Eigen::Index i = 0; i < n; ++i) {
        for (int part = 0; part < count; ++part) {
          rows(part, i) = part_at(attempt, first_part + part, attempt.begins_s[k],
                                  trace.start_s[static_cast<std::size_t>(i)]);
        }
      }
      Eigen::VectorXd amounts = Eigen::Map<const Eigen::VectorXd>(trace.amount.data(), n);
      amounts.array() -= amounts.mean();
      rows.colwise() -= rows.rowwise().mean().eval();
      square += rows * rows.transpose();
      product += rows * amounts;
      all += amounts.squaredNorm();
      frames += static_cast<double>(n);
    }
    square += 1e-9 * Eigen::MatrixXd::Identity(count, count);
    const Eigen::MatrixXd inverse = square.inverse();
    Solved solved;
    solved.parts = inverse * product;
    solved.squares = std::max(0.0, all - solved.parts.dot(product));
    const double variance =
        kCorrelated * std::max(solved.squares / frames, search_.noise * search_.noise);
    solved.u = (variance * inverse.diagonal()).cwiseSqrt();
    return solved;
  }

  void settle(Attempt& attempt) const {
    const Solved solved = solve(attempt, 0);
    for (int part = 0; part < kParts; ++part) {
      attempt.parts[static_cast<std::size_t>(part)] = solved.parts[part];
      attempt.parts_u[static_cast<std::size_t>(part)] = solved.u[part];
    }
    attempt.squares = solved.squares;
  }

  /// Moves all beginnings past a first picture that has no part in the change.
  void find_first(Attempt& attempt) const {
    const double whole =
        std::abs(attempt.parts[0]) + std::abs(attempt.parts[1]) + std::abs(attempt.parts[2]);
    if (!is_there(attempt.parts[0], attempt.parts_u[0], whole) &&
        is_there(attempt.parts[1], attempt.parts_u[1], whole)) {
      for (double& begin_s : attempt.begins_s) {
        begin_s += attempt.picture_s;
      }
      settle(attempt);
    }
  }

  const std::vector<ChangeTrace>& traces_;
  const ChangeSearch& search_;
  EdgeResponse response_{{}, 1e-3, 0};
};

/// The first picture by itself.
struct FirstPicture {
  double later_s = 0;  ///< a tenth of its rise, after the beginnings it was looked for around
  double u_s = 0;
  double decay_s = 0;
  double part = 0;
  double part_u = 0;
};

/// The frames that show no picture but the first, all traces laid over each other.
class FirstPictureFit {
 public:
  FirstPictureFit(const std::vector<ChangeTrace>& traces, const ChangeSearch& search,
                  const std::vector<double>& begins_s, double picture_s)
      : search_(search) {
    constexpr double kBefore = 10;  // frames
    constexpr double kFewest = 2.2;
    for (std::size_t k = 0; k < traces.size(); ++k) {
      Frames frames;
      for (std::size_t i = 0; i < traces[k].amount.size(); ++i) {
        const double after_s = traces[k].start_s[i] - begins_s[k];
        if (after_s > -kBefore * search.interval_s &&
            after_s < std::max(picture_s - search.exposure_s - 0.3 * search.interval_s,
                               kFewest * search.interval_s)) {
          frames.after_s.push_back(after_s);
          frames.amount.push_back(traces[k].amount[i]);
        }
      }
      count_ += static_cast<double>(frames.amount.size());
      all_.push_back(std::move(frames));
    }
  }

  FirstPicture fitted() const {
    std::vector<Placed> tried;
    Placed best;
    for (const double decay_s : {0.0001, 0.0005, 0.001, 0.0015, 0.002, 0.003, 0.004, 0.006}) {
      const EdgeResponse response({0, decay_s}, search_.exposure_s, 0);
      const double tenth_s = share_time_s({0, decay_s}, 0.1);
      for (double later = -1.5; later <= 1.5; later += 1.0 / 32) {
        Placed placed = placed_at(response, later * search_.interval_s);
        placed.decay_s = decay_s;
        placed.tenth_s = later * search_.interval_s + tenth_s;
        best = placed.squares < best.squares ? placed : best;
        tried.push_back(placed);
      }
    }
    return weighed(tried, best);
  }

 private:
  struct Frames {
    std::vector<double> after_s;
    std::vector<double> amount;
  };
  struct Placed {
    double decay_s = 0;
    double tenth_s = 0;
    double part = 0;
    double weight = 0;  ///< sum of squares of the response
    double squares = std::numeric_limits<double>::max();
  };

  Placed placed_at(const EdgeResponse& response, double later_s) const {
    double square = 0;
    double product = 0;
    double all = 0;
    for (const Frames& frames : all_) {
      const auto n = static_cast<double>(frames.amount.size());
      double shown = 0;
      double amount = 0;
      double shown2 = 0;
      double both = 0;
      double amount2 = 0;
      for (std::size_t i = 0; i < frames.amount.size(); ++i) {
        const double share = response(frames.after_s[i] - later_s);
        shown += share;
        amount += frames.amount[i];
        shown2 += share * share;
        both += share * frames.amount[i];
        amount2 += frames.amount[i] * frames.amount[i];
      }
      if (n > 0) {
        square += shown2 - shown * shown / n;
        product += both - shown * amount / n;
        all += amount2 - amount * amount / n;
      }
    }
    Placed placed;
    placed.weight = square;
    placed.part = square > 0 ? product / square : 0;
    placed.squares = std::max(0.0, all - placed.part * product);
    return placed;
  }

  FirstPicture weighed(const std::vector<Placed>& tried, const Placed& best) const {
    const double variance = kCorrelated * std::max(best.squares / std::max(count_, 1.0),
                                                   search_.noise * search_.noise /
                                                       static_cast<double>(1 + all_.size()));
    double sum = 0;
    double mean = 0;
    double square = 0;
    for (const Placed& placed : tried) {
      const double weight = std::exp(-(placed.squares - best.squares) / (2 * variance));
      sum += weight;
      mean += weight * placed.tenth_s;
      square += weight * placed.tenth_s * placed.tenth_s;
    }
    FirstPicture first;
    first.later_s = mean / sum;
    first.u_s = std::sqrt(std::max(0.0, square / sum - first.later_s * first.later_s));
    first.decay_s = best.decay_s;
    first.part = best.part;
    first.part_u = std::sqrt(variance / std::max(best.weight, 1e-9));
    return first;
  }

  const ChangeSearch& search_;
  std::vector<Frames> all_;
  double count_ = 0;
};

/// Goes back picture by picture as long as one before has a part in the change, however small;
/// moves the beginnings to it.
FirstPicture find_first_picture(const std::vector<ChangeTrace>& traces, const ChangeSearch& search,
                                double picture_s, std::vector<double>& begins_s) {
  FirstPicture first = FirstPictureFit(traces, search, begins_s, picture_s).fitted();
  const double whole = first.part;
  for (int back = 0; back < 3; ++back) {
    std::vector<double> earlier_s = begins_s;
    for (double& begin_s : earlier_s) {
      begin_s += first.later_s - picture_s;
    }
    const FirstPicture earlier = FirstPictureFit(traces, search, earlier_s, picture_s).fitted();
    if (getenv("DBG"))
      fprintf(stderr, "earlier: later %.3f fr u %.3f part %.3f (%.3f)\n",
              earlier.later_s / search.interval_s, earlier.u_s / search.interval_s, earlier.part,
              earlier.part_u);
    if (!is_there(earlier.part, earlier.part_u, whole)) {
      break;
    }
    begins_s = std::move(earlier_s);
    first = earlier;
  }
  return first;
}

}  // namespace

ChangeCourse fit_course(const std::vector<ChangeTrace>& traces, const ChangeSearch& search) {
  ChangeCourse course;
  if (traces.empty()) {
    return course;
  }
  CourseFit fit(traces, search);
  Attempt chosen;
  double least = std::numeric_limits<double>::max();
  for (const double picture_s : kPictures_s) {
    for (const double decay_s : kDecays_s) {
      Attempt attempt = fit.fitted(decay_s, picture_s);
      const double price = picture_s == kUsualPicture_s ? 1 : kUnusual;
      if (price * attempt.squares < least) {
        least = price * attempt.squares;
        chosen = std::move(attempt);
      }
    }
  }
  fit.fitted(chosen.decay_s, chosen.picture_s);  // its response is the one in use again
  if (getenv("DBG"))
    for (size_t k = 0; k < 7 && k < traces.size(); ++k) {
      for (size_t i = 0; i < traces[k].amount.size(); ++i)
        fprintf(stderr, "%.2f:%.3f ",
                (traces[k].start_s[i] - traces[k].about_s) / search.interval_s,
                traces[k].amount[i]);
      fprintf(stderr, "  at %.2f\n", (chosen.begins_s[k] - traces[k].about_s) / search.interval_s);
    }
  std::vector<double> begins_s;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    course.changes.push_back(fit.best_place(chosen, k));
    begins_s.push_back(course.changes.back().begin_s);
  }
  const FirstPicture first = find_first_picture(traces, search, chosen.picture_s, begins_s);
  if (getenv("DBG"))
    fprintf(stderr, "first: later %.3f fr u %.3f decay %.4f part %.3f (%.3f) P %.4f\n",
            first.later_s / search.interval_s, first.u_s / search.interval_s, first.decay_s,
            first.part, first.part_u, chosen.picture_s);
  course.picture_s = chosen.picture_s;
  course.decay_s = first.decay_s;
  course.first_part = first.part;
  course.first_part_u = first.part_u;
  course.shared_u_s = first.u_s;
  for (std::size_t k = 0; k < traces.size(); ++k) {
    course.changes[k].begin_s = begins_s[k] + first.later_s - share_time_s({0, first.decay_s}, 0.1);
  }
  return course;
}

}  // namespace thumblight::onset
