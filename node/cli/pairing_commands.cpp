// For the two of a pairing: what is proposed, how it goes, and what one wishes.

#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/pair_requests.hpp"
#include "node/commands/pair_reviews.hpp"
#include "node/commands/pair_wishes.hpp"
#include "protocol/base/comma_list.hpp"

namespace ladderline::node::cli {
namespace {

using boost::json::value;

const char* step_word(protocol::PairingStep step) {
    switch (step) {
        case protocol::PairingStep::proposed:
            return "proposed";
        case protocol::PairingStep::agreed:
            return "agreed";
        case protocol::PairingStep::declined:
            return "declined";
        case protocol::PairingStep::ended:
            return "ended";
    }
    return "";
}

void add_proposal(const PairOfMine& pair, std::vector<std::string>& text) {
    text.push_back("A pairing with " + pair.other_name + " is proposed, since " + to_iso(pair.since) + ".");
    if (pair.noted_apart) text.push_back("  You noted that you would rather not be paired with them.");
    if (pair.they_said_yes) text.push_back("  " + pair.other_name + " said yes.");
    if (pair.waits_for_me()) {
        text.push_back("  Answer with: ladderline pairing --yes '" + pair.other_name + "', or --rather-not");
    } else {
        text.push_back("  You said yes; " + pair.other_name + " has not answered yet.");
    }
}

void add_standing(const PairOfMine& pair, std::vector<std::string>& text) {
    text.push_back("With " + pair.other_name + " since " + to_iso(pair.since) +
                   (pair.as_mentor ? "; you are the mentor." : "; they are your mentor."));
    if (pair.review_waits_for_me()) {
        text.push_back("  How does it go, after " + std::to_string(pair.review->after_days) +
                       " days? ladderline pairing --with '" + pair.other_name + "' --goes well, talk or end");
    }
    if (pair.review) {
        const auto& theirs = pair.as_mentor ? pair.review->newcomer_said : pair.review->mentor_said;
        const auto& mine = pair.as_mentor ? pair.review->mentor_said : pair.review->newcomer_said;
        if (mine) text.push_back("  You said: " + std::string(in_words(*mine)) + ".");
        if (theirs) text.push_back("  " + pair.other_name + " said: " + std::string(in_words(*theirs)) + ".");
    }
    if (pair.next_review) text.push_back("  Next look at it together: " + to_iso(*pair.next_review) + ".");
}

void add_ended(const PairOfMine& pair, std::vector<std::string>& text) {
    if (pair.out_of_reach && !pair.as_mentor) {
        text.push_back(pair.other_name + " could not be reached any more, as of " + to_iso(pair.since) +
                       "; you come first when the club proposes pairs.");
        return;
    }
    text.push_back("With " + pair.other_name + " until " + to_iso(pair.since) +
                   (pair.handed_to.empty() ? "." : ", then handed over to " + pair.handed_to + "."));
    if (!pair.thanks.empty()) text.push_back("  Thanks: " + pair.thanks);
}

Answer mine_answer(const std::vector<PairOfMine>& all) {
    std::vector<std::string> text;
    boost::json::array json;
    for (const PairOfMine& pair : all) {
        if (pair.step == protocol::PairingStep::proposed) add_proposal(pair, text);
        if (pair.step == protocol::PairingStep::agreed) add_standing(pair, text);
        if (pair.step == protocol::PairingStep::ended) add_ended(pair, text);
        json.push_back({{"with", pair.other_name},
                        {"as_mentor", pair.as_mentor},
                        {"step", step_word(pair.step)},
                        {"since", to_iso(pair.since)},
                        {"waits_for_me", pair.waits_for_me()},
                        {"review_waits_for_me", pair.review_waits_for_me()},
                        {"out_of_reach", pair.out_of_reach},
                        {"thanks", pair.thanks},
                        {"handed_to", pair.handed_to}});
    }
    if (all.empty()) text.emplace_back("You are paired with nobody, and nothing is proposed.");
    return {lines(text), std::move(json)};
}

Result<protocol::PairingWord> word_of(const std::string& typed) {
    if (typed == "well") return protocol::PairingWord::goes_well;
    if (typed == "talk") return protocol::PairingWord::needs_a_talk;
    if (typed == "end") return protocol::PairingWord::let_us_end;
    return Error{Fault::bad_input, "Say well, talk or end with --goes; nothing was stored."};
}

struct PairingOptions {
    std::string yes;
    std::string rather_not;
    std::string with;
    std::string goes;
    std::string hand_over;
    std::string to;
    std::string thanks;
    bool end = false;
};

Result<Done> end_mine(Context& context, const std::string& who) {
    TRY(const auto all, my_pairings(context));
    TRY(const CircleView club, own_circle(context, protocol::CircleKind::club));
    TRY(const PersonView other, find_person(context, club.id, who));
    TRY(const PersonView me, myself(context, club.id));
    for (const PairOfMine& pair : all) {
        if (pair.other != other.id || pair.step != protocol::PairingStep::agreed) continue;
        const std::string mine = to_hex(me.id.view());
        const std::string theirs = to_hex(other.id.view());
        return pair.as_mentor ? end_pair(context, theirs, mine) : end_pair(context, mine, theirs);
    }
    return Error{Fault::not_found, "You and " + other.name + " are not paired; nothing was stored."};
}

Result<Done> done_of(Context& context, const PairingOptions& o) {
    if (!o.yes.empty()) return answer_pair(context, o.yes, true);
    if (!o.rather_not.empty()) return answer_pair(context, o.rather_not, false);
    if (!o.hand_over.empty()) {
        if (o.to.empty()) return Error{Fault::bad_input, "Name the next mentor with --to; nothing was stored."};
        return hand_over(context, o.hand_over, o.to, o.thanks);
    }
    if (o.with.empty()) return Error{Fault::bad_input, "Name the other one with --with; nothing was stored."};
    if (o.end) return end_mine(context, o.with);
    TRY(const protocol::PairingWord word, word_of(o.goes));
    return review_pair(context, o.with, word);
}

void add_pairing(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("pairing", "Your own pairing: what is proposed to you, and how it goes");
    auto o = std::make_shared<PairingOptions>();
    sub->add_option("--yes", o->yes, "Yes to the pairing that is proposed with them");
    sub->add_option("--rather-not", o->rather_not, "Rather not; no reason needed, and it is counted nowhere");
    sub->add_option("--with", o->with, "With whom, for --goes and --end");
    sub->add_option("--goes", o->goes, "At a review: well, talk (needs a talk) or end (let us end it)");
    sub->add_flag("--end", o->end, "The pairing ends; no reason needed");
    sub->add_option("--hand-over", o->hand_over, "The newcomer whom you hand over to another mentor");
    sub->add_option("--to", o->to, "The other mentor; they and the newcomer are asked");
    sub->add_option("--thanks", o->thanks, "One line of thanks, shown to the two of you (members' nodes hold it)");
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            const bool acts = !o->yes.empty() || !o->rather_not.empty() || !o->with.empty() || !o->goes.empty() ||
                              !o->hand_over.empty() || o->end;
            if (!acts) {
                TRY(const auto all, my_pairings(context));
                return mine_answer(all);
            }
            TRY(const Done done, done_of(context, *o));
            return answer_of(done);
        };
    });
}

struct WishOptions {
    std::optional<std::string> languages;
    std::optional<std::int64_t> km;
    std::optional<std::string> remote;
    std::optional<std::string> written;
    std::optional<std::string> goals;
    std::optional<std::string> like;
    std::string not_with;
    std::string no_matter;
};

Result<std::optional<bool>> yes_or_no(const std::optional<std::string>& typed) {
    if (!typed) return std::optional<bool>();
    if (*typed == "yes") return std::optional<bool>(true);
    if (*typed == "no") return std::optional<bool>(false);
    return Error{Fault::bad_input, "Answer yes or no; nothing was changed."};
}

std::string listed(const std::vector<std::string>& all, const std::string& if_none) {
    std::string out;
    for (const std::string& one : all) out += (out.empty() ? "" : ", ") + one;
    return out.empty() ? if_none : out;
}

boost::json::array json_of(const std::vector<std::string>& all) {
    boost::json::array out;
    for (const std::string& one : all) out.push_back(value(one));
    return out;
}

Answer wish_answer(const OwnWish& own) {
    const protocol::PairingWishBody& wish = own.wish;
    std::vector<std::string> apart;
    for (const auto& [id, name] : own.apart) apart.push_back(name);
    std::vector<std::string> text{
        "Languages: " + listed(wish.languages, "not said"),
        "How far: " + (wish.km_max ? std::to_string(*wish.km_max) + " km" : std::string("no limit")),
        std::string("From afar: ") + (wish.remote ? "all right" : "not said"),
        std::string("In writing alone: ") + (wish.written ? "all right" : "not said"),
        "Goals: " + listed(wish.goals, "those of the card")};
    if (own.as_newcomer) text.push_back("Would like: " + listed(own.would_like, "nobody in particular"));
    if (!apart.empty()) text.push_back("Rather not with (on your own machines alone): " + listed(apart, ""));
    return {lines(text),
            {{"languages", json_of(wish.languages)},
             {"km_max", wish.km_max ? value(*wish.km_max) : value()},
             {"remote", wish.remote},
             {"written", wish.written},
             {"goals", json_of(wish.goals)},
             {"would_like", json_of(own.would_like)},
             {"not_with", json_of(apart)}}};
}

Result<Answer> wish(Context& context, const WishOptions& o) {
    if (!o.not_with.empty() || !o.no_matter.empty()) {
        TRY(const Done done, not_with(context, o.not_with.empty() ? o.no_matter : o.not_with, !o.not_with.empty()));
        return answer_of(done);
    }
    if (!o.languages && !o.km && !o.remote && !o.written && !o.goals && !o.like) {
        TRY(const OwnWish own, own_wish(context));
        return wish_answer(own);
    }
    WishRequest request;
    if (o.languages) request.languages = parted(*o.languages);
    if (o.goals) request.goals = parted(*o.goals);
    if (o.like) request.would_like = parted(*o.like);
    request.km_max = o.km;
    TRY(request.remote, yes_or_no(o.remote));
    TRY(request.written, yes_or_no(o.written));
    TRY(const Done done, change_wish(context, request));
    return answer_of(done);
}

void add_wish(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("wish", "What you wish for a pairing; members of your club are shown it");
    auto o = std::make_shared<WishOptions>();
    sub->add_option("--languages", o->languages,
                    "Those you speak well enough, the preferred one first: German,English");
    sub->add_option("--km", o->km, "At most so many kilometres apart; 0 for no limit");
    sub->add_option("--remote", o->remote, "Help from afar is all right: yes or no");
    sub->add_option("--written", o->written, "Writing alone is all right: yes or no");
    sub->add_option("--goals", o->goals, "What it is about: first contact,antennas");
    sub->add_option("--like", o->like, "Newcomers: up to two mentors whom you would like, commas between");
    sub->add_option("--not-with", o->not_with, "Rather not with them; stays on your own machines");
    sub->add_option("--no-matter", o->no_matter, "Take that note back");
    sub->callback([&out, o] { out.command = [o](Context& context) { return wish(context, *o); }; });
}

}  // namespace

void add_pairing_commands(CLI::App& app, CommandLine& out) {
    add_pairing(app, out);
    add_wish(app, out);
}

}  // namespace ladderline::node::cli
