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
constexpr std::array kPictures_s = {1 / 120.0, 1 / 60.0, 1 / 50.0, 1 / 30.0};

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
    for (std::size_t i = 0; i < trace.amount.size(); ++i) {
      double left = trace.amount[i];
      for (int part = 0; part < kParts; ++part) {
        left -= attempt.parts[static_cast<std::size_t>(part)] *
                part_at(attempt, part, begin_s, trace.start_s[i]);
      }
      sum += left * left;
    }
    return sum;
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
    Eigen::VectorXd row(count);
    for (std::size_t k = 0; k < traces_.size(); ++k) {
      for (std::size_t i = 0; i < traces_[k].amount.size(); ++i) {
        for (int part = 0; part < count; ++part) {
          row[part] =
              part_at(attempt, first_part + part, attempt.begins_s[k], traces_[k].start_s[i]);
        }
        square += row * row.transpose();
        product += row * traces_[k].amount[i];
        all += traces_[k].amount[i] * traces_[k].amount[i];
        frames += 1;
      }
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

  static bool is_there(double part, double u, double whole) {
    return std::abs(part) > kSurePart * u && std::abs(part) > kLeastPart * whole;
  }

  /// Moves all beginnings to the first picture that has a part in the change.
  void find_first(Attempt& attempt) const {
    for (int tries = 0; tries < 3; ++tries) {
      const double whole =
          std::abs(attempt.parts[0]) + std::abs(attempt.parts[1]) + std::abs(attempt.parts[2]);
      const Solved earlier = solve(attempt, -1);
      if (is_there(earlier.parts[0], earlier.u[0], whole)) {
        shift(attempt, -attempt.picture_s);
      } else if (!is_there(attempt.parts[0], attempt.parts_u[0], whole) &&
                 is_there(attempt.parts[1], attempt.parts_u[1], whole)) {
        shift(attempt, attempt.picture_s);
      } else {
        return;
      }
    }
  }

  void shift(Attempt& attempt, double by_s) const {
    for (double& begin_s : attempt.begins_s) {
      begin_s += by_s;
    }
    settle(attempt);
  }

  const std::vector<ChangeTrace>& traces_;
  const ChangeSearch& search_;
  EdgeResponse response_{{}, 1e-3, 0};
};

/// How far the beginnings move under courses that explain the traces nearly as well.
double open_s(const std::vector<Attempt>& attempts, const Attempt& best, double per_frame) {
  double sum = 0;
  double weights = 0;
  for (const Attempt& attempt : attempts) {
    double apart = 0;
    for (std::size_t k = 0; k < best.begins_s.size(); ++k) {
      apart += (attempt.begins_s[k] - best.begins_s[k]) / static_cast<double>(best.begins_s.size());
    }
    const double weight =
        std::exp(-std::max(0.0, attempt.squares - best.squares) / (2 * kCorrelated * per_frame));
    sum += weight * apart * apart;
    weights += weight;
  }
  return std::sqrt(sum / weights);
}

}  // namespace

ChangeCourse fit_course(const std::vector<ChangeTrace>& traces, const ChangeSearch& search) {
  ChangeCourse course;
  if (traces.empty()) {
    return course;
  }
  CourseFit fit(traces, search);
  std::vector<Attempt> attempts;
  std::size_t best = 0;
  double frames = 0;
  for (const ChangeTrace& trace : traces) {
    frames += static_cast<double>(trace.amount.size());
  }
  for (const double picture_s : kPictures_s) {
    for (const double decay_s : kDecays_s) {
      attempts.push_back(fit.fitted(decay_s, picture_s));
      best = attempts.back().squares < attempts[best].squares ? attempts.size() - 1 : best;
    }
  }
  const Attempt chosen = attempts[best];
  fit.fitted(chosen.decay_s, chosen.picture_s);  // its response is the one in use again
  course.decay_s = chosen.decay_s;
  course.picture_s = chosen.picture_s;
  course.first_part = chosen.parts[0];
  course.first_part_u = chosen.parts_u[0];
  const double per_frame = std::max(chosen.squares / frames, search.noise * search.noise);
  course.shared_u_s = open_s(attempts, chosen, per_frame);
  for (std::size_t k = 0; k < traces.size(); ++k) {
    PlacedChange placed = fit.best_place(chosen, k);
    course.changes.push_back(placed);
  }
  return course;
}

}  // namespace thumblight::onset
