#include "node/commands/evening.hpp"

#include <algorithm>
#include <map>

#include "node/commands/meeting_advice.hpp"
#include "node/domain/meeting/evening.hpp"
#include "protocol/base/letters.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t look_ahead_days = 14;

Result<std::vector<WayView>> ways_asked(Context& context, const std::vector<std::string>& who) {
    std::vector<WayView> out;
    for (const std::string& one : who) {
        TRY(WayView view, way(context, one));
        if (view.owner.id == context.me.id()) {
            return Error{Fault::bad_input, "An evening is for newcomers whose paths you share, not for your own."};
        }
        const bool twice = std::any_of(out.begin(), out.end(),
                                       [&](const WayView& known) { return known.circle.id == view.circle.id; });
        if (!twice) out.push_back(std::move(view));
    }
    if (out.size() < evening_people_min) {
        return Error{Fault::bad_input,
                     "An evening is for two newcomers or more; for one, arrange a contact with 'ladderline meet'."};
    }
    return out;
}

// The parts of a name that point to somebody: words of three letters and more.
bool names(const std::string& text, const PersonView& person) {
    const std::string in = lower(text);
    const auto is_letter = [&](std::size_t at) {
        return at < in.size() && (std::isalnum(static_cast<unsigned char>(in[at])) != 0);
    };
    const auto stands_in = [&](const std::string& word) {
        for (std::size_t at = in.find(word); at != std::string::npos; at = in.find(word, at + 1)) {
            if ((at == 0 || !is_letter(at - 1)) && !is_letter(at + word.size())) return true;
        }
        return false;
    };
    std::string rest = lower(person.name);
    while (!rest.empty()) {
        const std::size_t blank = std::min(rest.find(' '), rest.size());
        const std::string word = rest.substr(0, blank);
        rest = blank < rest.size() ? rest.substr(blank + 1) : std::string();
        constexpr std::size_t word_letters_min = 3;
        if (word.size() >= word_letters_min && stands_in(word)) return true;
    }
    return person.card && !person.card->call_sign.empty() && stands_in(lower(person.card->call_sign));
}

Result<bool> share_a_club(Context& context, const MemberId& one, const MemberId& other) {
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::club) continue;
        TRY(const auto persons, people(context.db, circle.id));
        const auto is_there = [&](const MemberId& id) {
            return std::any_of(persons.begin(), persons.end(), [&](const PersonView& p) { return p.id == id; });
        };
        if (is_there(one) && is_there(other)) return true;
    }
    return false;
}

// Nobody learns from an evening who else comes.
Result<void> no_name_leaks(Context& context, const std::vector<WayView>& ways, const EveningRequest& request) {
    for (const WayView& named : ways) {
        if (!names(request.fallback + " " + request.words, named.owner)) continue;
        for (const WayView& reader : ways) {
            if (reader.circle.id == named.circle.id) continue;
            TRY(const bool know_each_other, share_a_club(context, named.owner.id, reader.owner.id));
            if (know_each_other) continue;
            return Error{Fault::refused, "Nothing was arranged: the text names " + named.owner.name + ", and " +
                                             reader.owner.name +
                                             " would read it, who shares no club with them. Write it without names."};
        }
    }
    return ok();
}

MeetRequest meeting_of(const EveningRequest& request, const WayView& view) {
    MeetRequest out;
    out.who = to_hex(view.owner.id.view());
    out.start = request.start;
    out.first_frequency = request.frequency;
    out.second_frequency = request.second_frequency;
    out.mode = request.mode;
    out.fallback = request.fallback;
    out.words = request.words;
    return out;
}

Result<void> all_can_be_asked(Context& context, const std::vector<WayView>& ways, const EveningRequest& request) {
    for (const WayView& view : ways) {
        const auto checked = check_meeting(context, view, meeting_of(request, view));
        if (checked) continue;
        const Error& why = checked.error();
        if (why.fault() != Fault::refused) return why;
        const std::string sentence = why.sentence();
        constexpr std::string_view head = "Nothing was arranged: ";
        const std::string reason = sentence.starts_with(head) ? sentence.substr(head.size()) : sentence;
        return Error{Fault::refused, "Nothing was arranged for anybody, because of " + view.owner.name + ": " + reason};
    }
    return ok();
}

std::string list_of(const std::vector<WayView>& ways) {
    std::string out;
    for (std::size_t i = 0; i < ways.size(); ++i) {
        if (i > 0) out += i + 1 == ways.size() ? " and " : ", ";
        out += ways[i].owner.name;
    }
    return out;
}

}  // namespace

Result<EveningDone> arrange_evening(Context& context, const EveningRequest& request) {
    TRY(const std::vector<WayView> ways, ways_asked(context, request.who));
    TRY(all_can_be_asked(context, ways, request));
    TRY(no_name_leaks(context, ways, request));
    EveningDone out;
    std::vector<store::NewEvent> events;
    for (const WayView& view : ways) {
        const MeetBody body{request.start, view.owner.id,    request.frequency, request.second_frequency,
                            request.mode,  request.fallback, request.words};
        events.push_back({view.circle.id, kind::meet, codec::encode(body), {}});
        TRY(const PersonView me, myself(context, view.circle.id));
        const std::string advice = advice_on(view, me, meeting_of(request, view));
        if (!advice.empty()) out.remarks.push_back(view.owner.name + ":" + advice);
    }
    TRY(context.log.append(events, context.now()));
    for (const WayView& view : ways) context.news(view.circle.id);
    out.sentence = "Arranged with " + list_of(ways) + ": " + to_iso_minute(request.start) + " on " + request.frequency +
                   " MHz " + request.mode + ". Each sees it on their own path, and nobody sees who else comes.";
    return out;
}

Result<EveningProposal> propose_evening(Context& context, const std::vector<std::string>& who, std::size_t count) {
    TRY(const std::vector<WayView> ways, ways_asked(context, who));
    TRY(const PersonView me, myself(context, ways.front().circle.id));
    const domain::Availability mine = availability(me);
    if (mine.windows.empty() || mine.zone.empty()) {
        return Error{
            Fault::not_found,
            "Your own card needs weekly times first: ladderline card --times \"Tue 18:00-21:00\" --zone ZONE."};
    }
    const Day first = context.today() + 1;
    TRY(const auto host, domain::to_instants(mine, first, look_ahead_days));
    EveningProposal out;
    std::vector<std::vector<domain::TimeSpan>> others;
    std::vector<std::string> names_of_others;
    TRY(std::vector<domain::TimeSpan> taken, own_spans(context));
    for (const WayView& view : ways) {
        for (const MeetingView& m : view.meetings) {
            if (m.outcome != MeetOutcome::moved) {
                taken.push_back({m.meeting.start, {m.meeting.start.ms + meet_minutes * 60'000LL}});
            }
        }
        const domain::Availability theirs = availability(view.owner);
        if (theirs.windows.empty() || theirs.zone.empty()) {
            out.times_lack.push_back(view.owner.name);
            continue;
        }
        TRY(auto spans, domain::to_instants(theirs, first, look_ahead_days));
        others.push_back(std::move(spans));
        names_of_others.push_back(view.owner.name);
    }
    TRY(const domain::Zone zone, domain::Zone::find(mine.zone));
    for (const domain::SharedStart& s : domain::shared_starts(host, others, taken, meet_minutes, count)) {
        EveningStart start{zone.clock_at(s.start), s.start, {}};
        for (const std::size_t i : s.missing) start.missing.push_back(names_of_others[i]);
        out.starts.push_back(std::move(start));
    }
    return out;
}

Result<std::vector<domain::MeetingPlace>> evening_places(Context& context, const std::vector<std::string>& who) {
    TRY(const std::vector<WayView> ways, ways_asked(context, who));
    std::vector<domain::MeetingPlace> out = domain::shipped_meeting_places(own_rule_book().country);
    for (const WayView& view : ways) {
        TRY(const PersonView me, myself(context, view.circle.id));
        const auto places = frequencies_for(view, me);
        std::erase_if(out, [&](const domain::MeetingPlace& place) {
            return std::none_of(places.begin(), places.end(), [&](const domain::JudgedPlace& judged) {
                return judged.place.hz == place.hz && judged.place.mode == place.mode &&
                       judged.both.verdict == domain::Verdict::yes;
            });
        });
    }
    return out;
}

Result<std::vector<EveningView>> evenings(Context& context) {
    TRY(const auto ways, ways_of_others(context));
    std::map<std::tuple<std::int64_t, std::string, std::string>, EveningView> found;
    for (const WayView& view : ways) {
        for (const MeetingView& m : view.meetings) {
            if (m.by != context.me.id() || m.meeting.other != view.owner.id) continue;
            EveningView& one = found[{-m.meeting.start.ms, m.meeting.first_frequency, m.meeting.mode}];
            one.start = m.meeting.start;
            one.frequency = m.meeting.first_frequency;
            one.mode = m.meeting.mode;
            one.people.push_back({view.owner.name, to_hex(view.owner.id.view()), m});
        }
    }
    std::vector<EveningView> out;
    for (auto& [key, one] : found) {
        if (one.people.size() >= evening_people_min) out.push_back(std::move(one));
    }
    return out;
}

}  // namespace ladderline::node
