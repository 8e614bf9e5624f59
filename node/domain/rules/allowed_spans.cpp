#include "node/domain/rules/allowed_spans.hpp"

#include <algorithm>

namespace ladderline::domain {
namespace {

bool is_for(const Privilege& line, const LicenceClass& holder) {
    return std::find(line.classes.begin(), line.classes.end(), holder.code) != line.classes.end();
}

std::string from_to(const Span& span) {
    return frequency_words(span.low_hz) + " to " + frequency_words(span.high_hz);
}

std::string listed(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t k = 0; k < words.size(); ++k) {
        const char* joint = k == 0 ? "" : k + 1 == words.size() ? " and " : ", ";
        out += joint + words[k];
    }
    return out;
}

std::int64_t middle(const Span& span) {
    return span.low_hz + (span.high_hz - span.low_hz) / 2;
}

// The same right with another limit has another line.
void add_second_limits(std::vector<const Privilege*>& lines, const std::vector<const Privilege*>& usable) {
    const std::vector<const Privilege*> found = lines;
    for (const Privilege* line : usable) {
        const bool is_there = std::find(lines.begin(), lines.end(), line) != lines.end();
        const bool is_beside =
            std::any_of(found.begin(), found.end(), [&](const Privilege* f) { return f->span == line->span; });
        if (is_beside && !is_there) lines.push_back(line);
    }
}

}  // namespace

AllowedSpans::AllowedSpans(const RuleBook& book, const EmissionMode& mode, std::optional<std::int32_t> width_hz)
    : book_(book), mode_(mode), width_hz_(width_hz) {}

std::vector<AllowedSpans::Use> AllowedSpans::uses(const LicenceClass& holder, bool certain_only) const {
    std::vector<Use> out;
    for (const Privilege& line : book_.privileges) {
        if (!is_for(line, holder) || (certain_only && !line.source.certain)) continue;
        for (const AllowedEmission& emission : line.emissions) {
            if (emission.allows(mode_)) out.push_back({&line, &emission});
        }
    }
    return out;
}

// As asked; else as usually sent, but speech no wider than the line takes.
std::int32_t AllowedSpans::width_on(const Use& use) const {
    if (width_hz_) return *width_hz_;
    const std::int32_t most = use.emission->width_hz_max;
    return most > 0 && mode_.kind == EmissionKind::phone ? std::min(most, mode_.width_hz) : mode_.width_hz;
}

// Each width that comes in question, widest first.
std::vector<std::int32_t> AllowedSpans::widths(const std::vector<Use>& uses) const {
    std::vector<std::int32_t> out;
    for (const Use& use : uses) out.push_back(width_on(use));
    std::sort(out.rbegin(), out.rend());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

std::optional<std::vector<const Privilege*>> AllowedSpans::cover(const std::vector<Use>& uses, const Span& signal,
                                                                 std::int32_t width_hz) const {
    std::vector<const Privilege*> lines;
    std::int64_t reached = signal.low_hz;
    for (const Use& use : uses) {  // by their low edges
        const Span& span = use.line->span;
        if (width_on(use) != width_hz) continue;
        if (use.emission->width_hz_max > 0 && width_hz > use.emission->width_hz_max) continue;
        if (use.emission->form == "CENTRE") {
            if (middle(signal) == middle(span) && span.holds(signal)) return std::vector{use.line};
            continue;
        }
        const bool further = lines.empty() || span.high_hz > reached;
        if (span.low_hz > reached || span.high_hz < reached || !further) continue;
        lines.push_back(use.line);
        reached = span.high_hz;
        if (reached >= signal.high_hz) return lines;
    }
    return {};
}

std::optional<AllowedSpans::Fit> AllowedSpans::fit(const LicenceClass& holder, std::int64_t dial_hz,
                                                   std::optional<std::int32_t> tone_hz, bool certain_only) const {
    const auto all = uses(holder, certain_only);
    for (const std::int32_t width : widths(all)) {
        const Span signal = occupied(mode_, dial_hz, width, tone_hz);
        auto lines = cover(all, signal, width);
        if (!lines) continue;
        std::vector<const Privilege*> usable;
        for (const Use& use : all) usable.push_back(use.line);
        add_second_limits(*lines, usable);
        return Fit{signal, width, std::move(*lines)};
    }
    return {};
}

std::optional<std::int64_t> AllowedSpans::nearest(const LicenceClass& holder, std::int64_t dial_hz,
                                                  std::optional<std::int32_t> tone_hz) const {
    const auto all = uses(holder, true);
    std::optional<std::int64_t> best;
    const auto offer = [&](std::int64_t dial) {
        const auto away = [&](std::int64_t at) { return at > dial_hz ? at - dial_hz : dial_hz - at; };
        if (dial > 0 && (!best || away(dial) < away(*best)) && fit(holder, dial, tone_hz, true)) best = dial;
    };
    for (const std::int32_t width : widths(all)) {
        const Span about = occupied(mode_, 0, width, tone_hz);
        for (const Use& use : all) {
            const Span& span = use.line->span;
            // A dial at which the signal touches an edge of the line from inside, or lies in its middle.
            offer(span.low_hz - about.low_hz);
            offer(span.high_hz - about.high_hz);
            if (use.emission->form == "CENTRE") offer(middle(span) - middle(about));
        }
    }
    return best;
}

SpanRefusal AllowedSpans::refusal(const LicenceClass& holder, std::int64_t dial_hz,
                                  std::optional<std::int32_t> tone_hz) const {
    const std::int32_t width = width_hz_.value_or(mode_.width_hz);
    SpanRefusal out{"", "-", Day{}, occupied(mode_, dial_hz, width, tone_hz)};
    const std::string here = frequency_words(dial_hz);
    const std::int64_t at = middle(out.signal);
    std::vector<const Privilege*> any;    // of whatever class and emission
    std::vector<const Privilege*> mine;   // of this class
    std::vector<const Privilege*> modes;  // of this class and mode
    const auto mode_uses = uses(holder, false);
    for (const Privilege& line : book_.privileges) {
        if (!line.span.holds(at) && !line.span.holds(dial_hz)) continue;
        any.push_back(&line);
        if (!is_for(line, holder)) continue;
        mine.push_back(&line);
        const bool allows =
            std::any_of(mode_uses.begin(), mode_uses.end(), [&](const Use& u) { return u.line == &line; });
        if (allows) modes.push_back(&line);
    }
    const std::vector<const Privilege*>& speaks = !modes.empty() ? modes : !mine.empty() ? mine : any;
    if (!speaks.empty()) {
        out.rule = speaks.front()->source.rule;
        out.as_of = speaks.front()->source.as_of;
    }
    if (any.empty()) {
        out.sentence = here + " is in no amateur band of " + book_.fact("name").value + " that this rule book holds.";
    } else if (mine.empty()) {
        out.sentence = holder.name + " has no rights at " + here + "; that part of " + any.front()->band +
                       " belongs to other classes.";
    } else if (modes.empty()) {
        std::vector<std::string> kinds;
        for (const Privilege* line : mine) {
            for (const AllowedEmission& e : line->emissions) {
                std::string word(e.kind ? to_word(*e.kind) : "any emission");
                if (e.form == "SSB") word += " on a sideband";
                if (e.form == "USB") word += " on the upper sideband";
                if (e.form == "NARROWFM") word += " without wide FM";
                if (std::find(kinds.begin(), kinds.end(), word) == kinds.end()) kinds.push_back(std::move(word));
            }
        }
        out.sentence =
            "At " + here + " " + holder.name + " may send " + listed(kinds) + ", and not " + mode_.name + ".";
    } else {
        out.sentence = "The signal reaches from " + from_to(out.signal) + ", and " + holder.name + " may send " +
                       mode_.name + " there from " + from_to(modes.front()->span) + " only.";
        const auto limit =
            std::find_if(mode_uses.begin(), mode_uses.end(), [&](const Use& u) { return u.line == modes.front(); });
        if (limit->emission->form == "CENTRE") {
            out.sentence = "On this channel " + mode_.name + " belongs in its middle, on " +
                           frequency_words(middle(modes.front()->span)) + ".";
        } else if (limit->emission->width_hz_max > 0 && width > limit->emission->width_hz_max && width_hz_) {
            out.sentence = "A signal of " + width_words(width) + " is wider than the " +
                           width_words(limit->emission->width_hz_max) + " that are allowed there.";
        }
    }
    return out;
}

}  // namespace ladderline::domain
