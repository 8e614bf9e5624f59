#pragma once
// What the pages share: who looks, which links apply to them, both clocks, forms that come back, and the word after a
// deed.

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "node/commands/way.hpp"
#include "node/domain/meeting/local_time.hpp"
#include "node/web/forms.hpp"
#include "node/web/page.hpp"
#include "node/web/pages/pages.hpp"
#include "node/web/router.hpp"

namespace ladderline::node::web {

// The contrary act, offered beside the word after a deed as a form of one button.
struct Undo {
    Url action;
    std::vector<Hidden> values;
    std::string words = "Undo";
    MonoTime until = {};  // a button that is offered for ever would one day be pressed for something else
};

// What a person is told after a form was taken. It is fetched by its number: a redirect that carried the words
// themselves would let any link put words into the program's mouth.
struct Told {
    std::string sentence;
    std::string code = {};  // an invite's, shown to be copied, and as a QR code
    Html body = {};         // shown by the page that asks for it, not above every page
    std::optional<Undo> undo = {};
};
class ToldList {
public:
    std::uint64_t keep(Told told);
    // Null when it was never said or is too long ago.
    const Told* find(std::uint64_t number) const;

private:
    std::array<Told, 32> latest_;
    std::uint64_t count_ = 0;
};

// The person at this node, as their circles know them.
struct Viewer {
    std::string name;                // empty while the desk is the only circle
    std::optional<CircleView> path;  // their own
    std::optional<CircleView> club;
    bool is_officer = false;         // of that club
    bool is_mentor = false;          // of that club
    bool is_on_others_path = false;  // as mentor, guardian or second adult
    std::optional<protocol::CardBody> card;
    std::optional<domain::Zone> zone;  // of the card
    std::vector<std::string> topics;   // of all circles, ready for Page::live_topics

    bool helps() const { return is_mentor || is_on_others_path; }
};
Result<Viewer> viewer_of(Context& context);

// Why a form came back. One sentence; `field` is empty if it is about no single field.
struct Refusal {
    int status = 400;
    std::string sentence;
    std::string field = {};
    bool in_part = false;  // something of it was saved, and the form has what is left
};
Refusal refusal_of(const Error& error, std::string field = {});

struct House {
    Context& context;
    InviteAddress invite_address;  // may be empty
    Arrivals* arrivals = nullptr;  // null: no node runs that could call anybody
    PhoneDoor* phone = nullptr;    // null, like the next: no node runs beside the pages
    CopyWork* copy = nullptr;
    ToldList told;
    std::optional<InviteCode> code_read;  // typed on /join, and not joined with or put aside yet
};

// One request as the pages see it.
struct Scene {
    House& house;
    const Viewer& viewer;
    const Request& request;
    std::optional<Refusal> refusal = {};

    Context& context() const { return house.context; }
    Scene back(Refusal why) const { return {house, viewer, request, std::move(why)}; }
    // Number for "?said=" in the redirect after a form was taken.
    std::uint64_t say(Told told) const { return house.told.keep(std::move(told)); }
    std::uint64_t say(const Done& done) const { return say(Told{done.sentence}); }
    // With the contrary act beside it, for ten minutes.
    std::uint64_t say(const Done& done, std::optional<Undo> undo) const;
};

// Page, refusal or error; an error becomes a page with its sentence and the links.
using SceneHandler = std::function<Result<Response>(const Scene&)>;
void on_get(Router& router, const std::shared_ptr<House>& house, std::string_view pattern, SceneHandler handler);
void on_post(Router& router, const std::shared_ptr<House>& house, std::string_view pattern, SceneHandler handler);

// The pages that apply to them, as every page shows them.
std::vector<NavLink> links_for(const Viewer& viewer);

enum class Live : std::uint8_t { yes, no };
// Adds the links, the live topics, what was told and why the form came back.
Response show(const Scene& scene, Page content, Live live = Live::yes);
// What "?said=" of this request asks for; null if nothing.
const Told* told_of(const Scene& scene);

// One of the forms of a page. Its fields carry its name, so that ids on the page stay apart, and what was typed comes
// back only to the form that was sent.
class FormOn {
public:
    FormOn(const Scene& scene, std::string name) : scene_(scene), name_(std::move(name)) {}
    // The form that was sent.
    static FormOn sent(const Scene& scene) { return {scene, scene.request.form.get("form")}; }

    bool came_back() const;
    // What the person typed, as they meant it; in a form that was not sent, `start`.
    std::string value(std::string_view field, std::string_view start = {}) const;
    std::string text(std::string_view field) const { return scene_.request.form.text(key(field)); }
    std::optional<std::int64_t> number(std::string_view field) const { return scene_.request.form.number(key(field)); }
    std::vector<std::string> all(std::string_view field) const { return scene_.request.form.all(key(field)); }
    std::string key(std::string_view field) const { return name_ + "-" + std::string(field); }
    // A row with the typed or first value, and the problem if the refusal names this field.
    Field field(std::string_view name, std::string label, std::string_view start = {}, std::string help = {}) const;
    Field required(std::string_view name, std::string label, std::string_view start = {}, std::string help = {}) const;
    // The <form>; `inside` are rows and buttons.
    Html form(const Url& action, const Html& inside) const;

private:
    const Scene& scene_;
    std::string name_;
};

// "The same code as a QR code": a drawing beside the text; empty for a text that no code holds.
Html qr_drawing(const std::string& code);

// "Tue 2026-03-10 18:00 EDT (2026-03-10 22:00 UTC)": local first, then UTC; UTC alone without a zone.
std::string time_words(const Viewer& viewer, WallTime t);
// The same as two parts that never run together.
Html both_clocks(const Viewer& viewer, WallTime t);
// "today", "yesterday", "5 days ago", "in 3 days"
std::string days_ago_words(Day day, Day today);

// Rows "day", "clock" and "which" (local or UTC) that start at `start`, and their reader: `start` to the millisecond
// where the minute was left as it stood. bad_input, with the field "clock": no time, one that clocks are put forward
// over, or one that comes twice because they are put back.
Html time_rows(const FormOn& form, const Viewer& viewer, WallTime start, WallTime now);
Result<WallTime> read_time(const FormOn& form, const Viewer& viewer);

// Usual caution for items about safety; empty for others.
Html caution_for(const domain::Item& item);
Mark mark_of(const domain::ItemState& state, const domain::Item& item);
std::string state_words(const domain::ItemState& state, const domain::Item& item);
std::string stage_title(const domain::Edition& edition, std::uint8_t stage);
// "mentor", "second adult", "officer"
std::string seat_words(protocol::MemberRole role);
// Seats of a path or a club that may be given, and the levels that go with one.
std::vector<Choice> seat_choices(protocol::CircleKind kind);
std::vector<Choice> level_choices();
Result<std::uint8_t> level_typed(const FormOn& form);
// The newest news in it.
std::string as_of_words(const Viewer& viewer, const std::optional<WallTime>& newest);
// A member's key as the commands take it.
template <class Id>
std::string key_of(const Id& id) {
    return to_hex(id.view());
}

// "A" for place 0
std::string place_letter(std::size_t place);

// --- The areas, one file each.
void add_start_pages(Router& router, const std::shared_ptr<House>& house);
void add_way_pages(Router& router, const std::shared_ptr<House>& house);
void add_item_pages(Router& router, const std::shared_ptr<House>& house);
void add_meet_pages(Router& router, const std::shared_ptr<House>& house);
void add_meet_card_pages(Router& router, const std::shared_ptr<House>& house);
void add_evening_pages(Router& router, const std::shared_ptr<House>& house);
void add_map_pages(Router& router, const std::shared_ptr<House>& house);
void add_going_pages(Router& router, const std::shared_ptr<House>& house);
void add_store_pages(Router& router, const std::shared_ptr<House>& house);
void add_search_pages(Router& router, const std::shared_ptr<House>& house);
void add_contact_pages(Router& router, const std::shared_ptr<House>& house);
void add_exposure_pages(Router& router, const std::shared_ptr<House>& house);
void add_practice_pages(Router& router, const std::shared_ptr<House>& house);
void add_ready_pages(Router& router, const std::shared_ptr<House>& house);
void add_mock_pages(Router& router, const std::shared_ptr<House>& house);
void add_why_pages(Router& router, const std::shared_ptr<House>& house);
void add_pool_pages(Router& router, const std::shared_ptr<House>& house);
void add_people_pages(Router& router, const std::shared_ptr<House>& house);
void add_bench_pages(Router& router, const std::shared_ptr<House>& house);
void add_licence_pages(Router& router, const std::shared_ptr<House>& house);
void add_club_pages(Router& router, const std::shared_ptr<House>& house);
void add_pair_board_pages(Router& router, const std::shared_ptr<House>& house);
void add_pairing_pages(Router& router, const std::shared_ptr<House>& house);
void add_club_review_pages(Router& router, const std::shared_ptr<House>& house);
void add_circle_pages(Router& router, const std::shared_ptr<House>& house);
void add_join_pages(Router& router, const std::shared_ptr<House>& house);
void add_ladder_pages(Router& router, const std::shared_ptr<House>& house);
void add_greet_pages(Router& router, const std::shared_ptr<House>& house);
void add_card_pages(Router& router, const std::shared_ptr<House>& house);
void add_phone_pages(Router& router, const std::shared_ptr<House>& house);
// The form that takes an invite code.
Html code_form(const Scene& scene);
// What "/" shows.
Result<Response> newcomer_page(const Scene& scene);
Result<Response> people_page(const Scene& scene);
Result<Response> club_page(const Scene& scene);

}  // namespace ladderline::node::web
