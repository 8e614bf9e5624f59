#include "node/commands/contact_lines.hpp"

#include "node/commands/club_row.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/own_calls.hpp"
#include "node/domain/radio/log_lines.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int64_t ms_per_min = 60'000;

std::vector<std::string> split_lines(const std::string& text) {
    std::vector<std::string> out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        out.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return out;
}

std::string joined(const std::string& a, const std::string& b) {
    return a.empty() || b.empty() ? a + b : a + " " + b;
}

// The clock by which the lines are kept, and where in the day they have come to.
class LineClock {
public:
    explicit LineClock(const LinesRequest& request) : zone_(request.zone), at_(request.start) {
        if (zone_) {
            const domain::LocalClock clock = zone_->clock_at(request.start);
            day_ = clock.day;
            minute_ = clock.minute_of_day;
        } else {
            day_ = utc_day(request.start);
            minute_ = static_cast<std::int32_t>((request.start.ms - start_of(day_).ms) / ms_per_min);
        }
    }
    // The lines below are of that day. Times before the first one may be any.
    void turn_to(Day day) {
        day_ = day;
        minute_ = 0;
        new_day_ = true;
        timed_ = true;
    }
    Day day() const { return day_; }
    // The instant of a line. Without a time it is the start that was given for all; never that of the line above, which
    // may be put right and sent again without it.
    Result<WallTime> of(const domain::LogLine& line) {
        if (!line.minute_of_day) {
            if (!timed_) return at_;
            return Error{Fault::bad_input, "It needs a time, as 1905, because a line above has a time or a day."};
        }
        timed_ = true;
        if (!new_day_) day_ = domain::day_of_line(day_, minute_, *line.minute_of_day);
        new_day_ = false;
        minute_ = *line.minute_of_day;
        if (zone_ && zone_->at(day_, minute_).kind == domain::LocalKind::skipped) {
            return Error{Fault::bad_input, "Clocks are put forward over that time, so it does not exist."};
        }
        return moment(minute_);
    }

private:
    WallTime moment(std::int32_t minute) const {
        if (zone_) return zone_->at(day_, minute).earlier;
        return {start_of(day_).ms + minute * ms_per_min};
    }

    const std::optional<domain::Zone>& zone_;
    WallTime at_;
    Day day_;
    std::int32_t minute_ = 0;
    bool new_day_ = false;
    bool timed_ = false;
};

ContactRequest filled(const LinesRequest& all, const domain::LogLine& line, WallTime start) {
    ContactRequest out;
    out.who = all.who;
    out.worked = line.call;
    out.start = start;
    out.frequency = line.frequency.empty() ? all.frequency : line.frequency;
    out.band = line.frequency.empty() ? all.band : "";
    out.mode = line.mode.empty() ? all.mode : line.mode;
    out.sent = line.sent;
    out.received = line.received;
    out.guest_of = all.guest_of;
    out.comment = joined(all.comment, line.remark);
    out.another = all.another;
    return out;
}

class LinesWriter {
public:
    LinesWriter(Context& context, const WayView& view, const LinesRequest& request)
        : context_(context), view_(view), request_(request), clock_(request), log_(view), own_sides_(view, &self_) {}

    void take(const std::string& line) {
        ++number_;
        const auto read = domain::read_log_line(line);
        if (!read) return leave(line, read.error().sentence());
        if (std::holds_alternative<std::monostate>(read.value())) return;
        if (const Day* day = std::get_if<Day>(&read.value())) {
            clock_.turn_to(*day);
            return;
        }
        ++lines_;
        const auto& said = std::get<domain::LogLine>(read.value());
        const auto start = clock_.of(said);
        if (!start) return leave(line, start.error().sentence());
        const ContactRequest one = filled(request_, said, start.value());
        const auto body = checked_contact(context_, view_, one);
        if (!body) return leave(line, body.error().sentence());
        const auto is_ours = is_own_side(context_, view_, one.worked);
        if (!is_ours) return leave(line, is_ours.error().sentence());
        SameContacts& log = is_ours.value() ? own_sides_ : log_;
        const auto same = log.near(body.value());
        if (same && !request_.another) return leave(line, same_words(body.value(), *same), true);
        log.add(body.value());
        events_.push_back({view_.circle.id, kind::contact, codec::encode(body.value()), {}});
    }
    Result<LinesTaken> finish() {
        if (lines_ == 0 && out_.left.empty()) {
            return Error{Fault::bad_input, "There is no line to write down; write one call sign a line."};
        }
        if (events_.empty()) return std::move(out_);
        TRY(context_.log.append(events_, context_.now()));
        context_.news(view_.circle.id);
        TRY(refresh_club_row(context_));
        out_.taken = events_.size();
        return std::move(out_);
    }

private:
    void leave(const std::string& line, std::string sentence, bool is_double = false) {
        if (left_day_.value_or(clock_day_at_start_) != clock_.day()) out_.rest += to_iso(clock_.day()) + "\n";
        left_day_ = clock_.day();
        out_.left.push_back({number_, line, std::move(sentence), is_double});
        out_.rest += line + "\n";
    }

    Context& context_;
    const WayView& view_;
    const LinesRequest& request_;
    const MemberId self_ = context_.me.id();
    LineClock clock_;
    const Day clock_day_at_start_ = clock_.day();
    std::optional<Day> left_day_;
    SameContacts log_;
    SameContacts own_sides_;
    std::size_t number_ = 0;
    std::size_t lines_ = 0;
    std::vector<store::NewEvent> events_;
    LinesTaken out_;
};

}  // namespace

Result<LinesTaken> log_lines(Context& context, const LinesRequest& request) {
    TRY(const WayView view, way(context, request.who));
    LinesWriter writer(context, view, request);
    for (const std::string& line : split_lines(request.text)) writer.take(line);
    return writer.finish();
}

Result<ContactRequest> request_of_line(const LinesRequest& request) {
    TRY(const auto read, domain::read_log_line(request.text));
    const auto* line = std::get_if<domain::LogLine>(&read);
    if (line == nullptr) return Error{Fault::bad_input, "Write the call sign of the other station first."};
    LineClock clock(request);
    TRY(const WallTime start, clock.of(*line));
    return filled(request, *line, start);
}

ContactRequest usual_contact(Context& context, const WayView& way) {
    constexpr std::int64_t guest_for_ms = 86'400'000;
    ContactRequest out;
    for (const ContactView& view : way.contacts) {
        if (view.by != context.me.id()) continue;
        out.frequency = view.contact.frequency;
        if (out.frequency.empty()) out.band = view.contact.band;
        out.mode = view.contact.mode;
        const bool is_fresh = context.now().ms - view.contact.start.ms <= guest_for_ms;
        if (is_fresh || way.call_sign.empty()) out.guest_of = view.contact.operated_by;
        return out;
    }
    return out;
}

}  // namespace ladderline::node
