#pragma once
// What the club's pages put on paper: each fits one sheet of A4 or letter, black on white, and says what it left out.

#include "node/commands/review.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {

// The whole review.
Html review_on_paper(const Review& review);
// The people whom a question's answer names, in two columns.
Html answer_on_paper(const ReviewAnswer& answer);

// "05 First station", or "all done".
std::string stage_words(const Scene& scene, const std::string& stage);

// Old records of the club, and the hand-over from one officer to the next.
void add_old_records_page(Router& router, const std::shared_ptr<House>& house);
void add_club_handover_pages(Router& router, const std::shared_ptr<House>& house);

}  // namespace ladderline::node::web
