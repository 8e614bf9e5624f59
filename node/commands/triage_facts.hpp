#pragma once
// What the triage is told, from a newcomer's rows put together: of today for the review, of a day in the past for the
// list's own hit rate. Used by those commands alone.

#include "node/domain/review/triage.hpp"
#include "node/read_models/row_story.hpp"

namespace ladderline::node {

// How long people stayed in each stage.
class StageWaits {
public:
    StageWaits();

    // Stages left for a later one are finished waits; the present one, or one that was gone back from, is still open.
    void add(const RowStory& story, Day today);
    // By stage. Empty where fewer than five left it: it would make one person's pace everybody's.
    std::vector<domain::SurvivalCurve> curves() const;

private:
    std::vector<std::vector<domain::Wait>> waits_;
};

// All but the mentor, the rest and who asked. The story ends with `row`; no row is from after `today`, or they count as
// of today.
domain::TriageFacts triage_facts(const protocol::MemberId& newcomer, const protocol::ClubRowBody& row,
                                 const RowStory& story, Day today);

// Stage number of a row; none: nothing left to do, or a newer program's words.
std::optional<std::size_t> stage_number(const std::string& stage);
std::optional<std::size_t> stage_of(const protocol::ClubRowBody& row);
std::optional<std::size_t> stage_of(const StageRun& run);

}  // namespace ladderline::node
