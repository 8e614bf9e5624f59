#pragma once
// The shell around every page, and the pieces that pages share. Class names are those of static/style.css.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "node/web/html.hpp"
#include "node/web/request.hpp"
#include "protocol/base/result.hpp"

namespace ladderline::node::web {

// A form sent here shuts the pages in every browser; the site answers it, not the router.
extern const Url lock_address;

struct NavLink {
    Url address;
    std::string words;
    char key;  // by which the keyboard reaches it (accesskey)
};

struct Page {
    std::string title;  // <h1> and the window's title
    std::vector<NavLink> nav = {};
    Html main = {};                             // follows the <h1>
    Html side = {};                             // beside it on a wide screen, after it on a phone
    std::string as_of = {};                     // "26 November, 19:05": how old the oldest news in it is
    std::vector<std::string> live_topics = {};  // news of these makes the page look again by itself
    std::optional<Url> search = {};             // where the search field of every page sends "q"
    std::string sought = {};                    // shown in that field
    std::vector<NavLink> foot = {};             // links at the foot
    std::string lang = "en";
};

// <main> only when live.js asked. A page that answers a POST is not live: its address is not a page.
Response page(const Request& request, const Page& content, int status = 200);

// A whole page for one sentence: 403, 404, 500.
Response sentence_page(int status, std::string_view title, std::string_view sentence);
// 400, 403, 404, 409, 500 ... after the kind of fault.
int status_of(Fault fault);

enum class Tone : std::uint8_t { plain, caution, problem, done };
// A box; `title` says what it is in words, so that the colour adds nothing.
Html notice(Tone tone, std::string_view title, const Html& body);
inline Html notice(Tone tone, std::string_view title, std::string_view sentence) {
    return notice(tone, title, html("<p>{}</p>", sentence));
}

// The one next step: what, why it comes next, and the button or link.
Html next_step_card(std::string_view what, const Html& why, const Html& action);

// Days until something is due: "3 days left", "today", "2 days over".
std::string days_left_words(std::int32_t days);
inline constexpr std::int32_t far_days = 120;  // what is farther off than that can wait, and is not shown yet
struct Waiting {
    std::string what;
    std::string on_whom = {};
    std::optional<std::int32_t> days_left = {};
};
// Nothing waiting: `empty_sentence`.
Html waiting_list(const std::vector<Waiting>& waiting, std::string_view empty_sentence);

enum class Mark : std::uint8_t { open, ticked, signed_off, waiting, held, skipped, resting, caution };
// A shape and `words`; the shape is drawn and hidden from screen readers.
Html state_mark(Mark mark, std::string_view words);

// On a phone every row becomes a block with the column's name before each value. The first column heads the row.
struct Table {
    std::string caption;
    std::vector<std::string> columns;
    std::vector<std::vector<Html>> rows;  // as many cells as columns, or it is our bug
    std::string empty_sentence = "Nothing here yet.";
};
Html table(const Table& content);

// Up to `of`, as words and a bar: "3 of 12".
Html progress(std::string_view label, std::int64_t done, std::int64_t of);

}  // namespace ladderline::node::web
