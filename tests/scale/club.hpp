#pragma once
// One club for as long as wanted: its members' devices, its circles and its two couriers, second by second, from a
// seed. Clubs share nothing, so many of them are many of these.

#include <queue>

#include "tests/scale/figures.hpp"

namespace ladderline::scale {

struct Device {
    std::uint32_t owner = 0;  // the member's first device
    Habit habit = Habit::often;
    Part part = Part::newcomer;
    bool is_second = false;
    std::uint32_t away_day = 0;  // the first of the days off
    std::uint32_t joined_s = 0;
    std::uint32_t left_s = UINT32_MAX;
    std::uint32_t on_until_s = 0;
    std::vector<std::uint32_t> seats;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> on;  // from, to
    std::uint32_t paths = 0;
    Bytes2 day;
};

struct Plan {
    std::uint32_t members = 200;
    std::uint64_t seed = 1;
    std::uint32_t days = 365;
    double talk = 1;  // how many times the assumed events
    Assumptions assumed;
};

// Sees everything that happens; the production objects run beside the model as one of these.
class Witness {
public:
    virtual ~Witness() = default;
    virtual void seated(std::uint32_t seat, bool from_start) = 0;
    virtual void wrote(std::uint32_t seat) = 0;
    // After the club has taken it into account.
    virtual void visited(std::uint32_t seat, std::uint32_t courier, VisitKind kind, const Bytes2& modelled,
                         const Difference& difference) = 0;
};

class Club {
public:
    explicit Club(const Plan& plan);

    void set_witness(Witness* witness);
    // The days of the plan, and then a last hour in which nothing fails, everybody is on and nobody writes.
    void run();

    const Figures& figures() const { return out_; }
    const std::vector<Circle>& circles() const { return circles_; }
    const std::vector<Seat>& seats() const { return seats_; }
    const std::vector<Device>& devices() const { return devices_; }
    std::uint64_t courier_arrivals(std::size_t courier) const { return arrivals_[courier]; }
    std::uint32_t now_s() const { return now_; }

private:
    enum class What : std::uint8_t { day, hour, wake, visit, write, courier, going, coming, months };
    static constexpr std::uint64_t number_bits = 29;

    // making (club_people.cpp)
    void found_club();
    std::uint32_t add_device(Part part, std::uint32_t owner, bool is_second);
    std::uint32_t add_member(Part part);
    void add_second_device(std::uint32_t owner);
    std::uint32_t take_seat(std::uint32_t device, std::uint32_t circle);
    void open_path(std::uint32_t newcomer);
    std::uint32_t mentor_with_room();
    void make_known(std::uint32_t circle);
    void plan_month();
    void go();
    void come();
    void leave_circle(std::uint32_t seat);

    // days (club_days.cpp)
    void plan(std::uint32_t at_s, What what, std::uint64_t number = 0);
    void begin_day();
    void end_day();
    void end_hour();
    void switch_on(std::uint32_t device);
    void plan_words(std::uint32_t device, std::uint32_t from, std::uint32_t to);
    void plan_outage(std::size_t courier);
    void settle();
    bool all_hold_the_same() const;
    void weigh(Weights& into) const;
    void weigh_couriers(Weights& into) const;

    // visits (club_visits.cpp)
    void plan_visit(std::uint32_t seat, std::size_t courier, std::uint32_t at_s);
    void on_visit_due(std::uint32_t seat, std::size_t courier);
    void visit(std::uint32_t seat, std::size_t courier);
    void differ(std::uint32_t seat, std::size_t courier, bool is_cut);
    void exchange(std::uint32_t seat, std::size_t courier);
    void after_failure(std::uint32_t seat, std::size_t courier);
    void after_success(std::uint32_t seat, std::size_t courier);
    void on_news(std::uint32_t seat);
    void count_bytes(std::uint32_t seat, std::size_t courier, const Bytes2& bytes);
    std::size_t boxes() const;
    void bring_keys(std::uint32_t seat, std::size_t courier);
    void check_formula(const Bytes2& bytes, const Difference& difference, const VisitFigures& visit);
    void say(std::uint32_t seat, std::uint16_t plain_bytes, std::uint8_t flags = 0);
    void hear(Seat& seat, std::uint32_t log, std::uint16_t from, std::uint16_t to);
    void note_delivery(const Circle& circle, const Device& reader, Word& word);
    Delays& delays_of(const Circle& circle) { return circle.place == Place::club ? out_.club : out_.path; }

    Plan plan_;
    Dice dice_;
    std::uint32_t now_ = 0;
    bool is_settling_ = false;
    std::priority_queue<std::pair<std::uint32_t, std::uint64_t>, std::vector<std::pair<std::uint32_t, std::uint64_t>>,
                        std::greater<>>
        due_;
    std::vector<Device> devices_;
    std::vector<Circle> circles_;  // the club's is number 0
    std::vector<Seat> seats_;
    std::vector<std::uint32_t> mentors_;
    double goings_owed_ = 0;
    std::array<std::uint64_t, couriers_each> arrivals_{};
    std::array<bool, couriers_each> is_up_{};
    std::array<Bytes2, couriers_each> courier_day_{};
    std::array<std::uint64_t, couriers_each> courier_day_visits_{};
    std::array<std::uint64_t, couriers_each> courier_hour_visits_{};
    std::vector<std::uint32_t> rotation_times_;
    Witness* witness_ = nullptr;
    Figures out_;
};

}  // namespace ladderline::scale
