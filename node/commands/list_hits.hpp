#pragma once
// How well the list of those who need somebody did over the last year: whom it would have named every four weeks from
// the news of that day, and what became of them. Officers only. Every row of the club is read, so it stands with the
// figures that are looked at now and then, not in the review.

#include "node/commands/context.hpp"

namespace ladderline::node {

struct ListHits {
    int named = 0;           // people
    int left = 0;            // of the club, of those in its list; they count as gone from the day of their last news
    int named_and_left = 0;  // named in the 90 days before
    int asked_and_fine = 0;  // of those named, noted within 14 days after they were named
    std::vector<std::string> sentences;  // with denominators; groups below five are not spelled out
};
Result<ListHits> list_hits(Context& context);

}  // namespace ladderline::node
