#include "node/commands/clock_note.hpp"

#include <charconv>

#include "store/event_log/last_words.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::ClockDoubt;
using domain::ClockSign;

constexpr std::string_view note_setting = "clock_note";      // the sign's number, a blank, the sentence
constexpr std::string_view agreed_setting = "clock_agreed";  // own words up to this time are no sign, in milliseconds
constexpr std::size_t words_max = 64;

struct Note {
    ClockSign sign = ClockSign::some_others;
    std::string sentence;

    bool is_of_others() const { return sign == ClockSign::most_others || sign == ClockSign::some_others; }
};

Result<std::optional<Note>> kept_note(Context& context) {
    TRY(const auto text, store::get_text_setting(context.db, note_setting));
    if (!text || text->size() < 2) return std::optional<Note>();
    return std::optional(Note{static_cast<ClockSign>(text->front() - '0'), text->substr(2)});
}

Result<void> keep(Context& context, const std::optional<ClockDoubt>& doubt) {
    if (!doubt) return store::forget_setting(context.db, note_setting);
    const std::string number(1, static_cast<char>('0' + static_cast<int>(doubt->sign)));
    return store::put_text_setting(context.db, note_setting, number + " " + doubt->sentence);
}

Result<std::int64_t> agreed_ms(Context& context) {
    TRY(const auto text, store::get_text_setting(context.db, agreed_setting));
    std::int64_t out = 0;
    if (text) std::from_chars(text->data(), text->data() + text->size(), out);
    return out;
}

bool agrees(const domain::OtherClock& other) {
    return other.ahead_ms <= domain::clock_margin_ms && other.ahead_ms >= -domain::clock_margin_ms;
}

// Own words that are no sign any more are left out of it.
Result<std::optional<WallTime>> own_newest(Context& context, const ClockKnown& known, bool is_doubted) {
    TRY(std::optional<WallTime> newest, store::own_last_word(context.db, context.log));
    if (!newest || *newest <= context.now()) return newest;
    TRY(const std::int64_t agreed, agreed_ms(context));
    const bool others_agree =
        known.others && std::any_of(known.others->begin(), known.others->end(), agrees) && !is_doubted;
    if (others_agree && newest->ms > agreed) {
        TRY(store::put_text_setting(context.db, agreed_setting, std::to_string(newest->ms)));
    }
    if (others_agree || newest->ms <= agreed) newest.reset();
    return newest;
}

}  // namespace

Result<std::string> clock_note(Context& context) {
    TRY(const auto note, kept_note(context));
    return note ? note->sentence : std::string();
}

Result<void> look_at_clock(Context& context, const ClockKnown& known) {
    domain::ClockFacts facts{context.now(), known.made, {}, known.others.value_or(std::vector<domain::OtherClock>())};
    const auto by_others = domain::clock_doubt(facts);
    TRY(facts.own_newest, own_newest(context, known, by_others.has_value()));
    const auto doubt = domain::clock_doubt(facts);
    TRY(const auto before, kept_note(context));
    if (!known.others && before && before->is_of_others() && (!doubt || doubt->sign != ClockSign::before_program)) {
        return ok();
    }
    if (doubt && before && doubt->sign == before->sign && !known.others) return ok();  // its times stay as first said
    if (!doubt && !before) return ok();
    return keep(context, doubt);
}

Result<std::vector<ClockWord>> clock_words(Context& context, const CircleId& circle, std::uint64_t after) {
    TRY(const auto words, store::last_words(context.db, context.log, circle, after, words_max));
    std::vector<ClockWord> out;
    for (const store::LastWord& word : words) {
        std::optional<MemberId> member;
        DhPublic noise;
        TRY(context.db.query(
            "SELECT member, noise FROM device WHERE circle = ?1 AND device = ?2",
            [&](const store::sqlite::Row& row) {
                member = row.fixed<MemberId>(0);
                noise = row.fixed<DhPublic>(1);
            },
            circle, word.device));
        if (!member) continue;
        TRY(const auto who, person(context.db, circle, *member));
        if (!who) continue;
        out.push_back({word.device, noise, *member == context.me.id() ? "your other device" : who->name, word.at});
    }
    return out;
}

}  // namespace ladderline::node
