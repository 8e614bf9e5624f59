#pragma once
// How well the list of those who need somebody did over the last year: whom it would have named every four weeks from
// the news of that day, and what became of them. Officers only. The days looked at are the last ones of periods of 28
// days that are the same for everybody (row_looks.hpp), so that nobody's every row has to be read.

#include "node/commands/context.hpp"

namespace ladderline::node {

struct ListHits {
    int named = 0;           // people
    int left = 0;            // of the club, of those in its list; they count as gone from the day of their last news
    int named_and_left = 0;  // named in the 90 days before
    int asked_and_fine = 0;  // of those named, noted within 14 days after they were named
    int left_out = 0;        // people whose rows go through more stages than are kept
    std::vector<std::string> sentences;  // with denominators; groups below five are not spelled out
};
Result<ListHits> list_hits(Context& context);

}  // namespace ladderline::node
