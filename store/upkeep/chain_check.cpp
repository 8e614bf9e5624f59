#include "store/upkeep/chain_check.hpp"

namespace ladderline::store {

using namespace protocol;

std::string to_sentence(const ChainReport& report) {
    const std::string seen = std::to_string(report.logs) + (report.logs == 1 ? " log, " : " logs, ") +
                             std::to_string(report.events) + (report.events == 1 ? " event: " : " events: ");
    if (report.is_sound()) return seen + "all chains are whole.";
    if (report.damage.empty()) return seen + "the list of logs cannot be read to its end.";
    std::uint64_t bad = 0;
    for (const LogDamage& one : report.damage) bad += one.events - one.good;
    return seen + std::to_string(report.damage.size()) + " damaged, " + std::to_string(bad) +
           " events in them cannot be relied on.";
}

Result<bool> ChainCheck::step(std::uint64_t events_max) {
    if (!log_) return next_log();
    TRY(const ChainPiece piece, read_chain(db_, *log_, place_, events_max));
    report_.events += piece.events.size();
    if (!piece.events.empty()) {
        const Event& last = piece.events.back();
        last_is_signed_ = place_.seq < log_->next_seq ||
                          verify(place_.prev.view(), last.signature, signing_key(log_->opening.device));
    }
    if (piece.broken || place_.seq == log_->next_seq) end_log(piece.broken);
    return true;
}

Result<bool> ChainCheck::next_log() {
    Result<std::optional<StoredLog>> found = next_stored_log(db_, last_ref_);
    if (!found && found.error().fault() == Fault::cancelled) return std::move(found).error();
    if (!found) report_.logs_unreadable = true;
    if (!found || !found.value()) return false;
    log_ = std::move(found).value();
    last_ref_ = log_->ref;
    ++report_.logs;
    place_ = {};
    last_is_signed_ = true;
    if (!is_genuine(*log_)) {
        end_log(true);
    } else if (log_->next_seq == 0) {
        log_.reset();
    }
    return true;
}

void ChainCheck::end_log(bool broken) {
    const bool ends_right = place_.prev == log_->head && last_is_signed_;
    if (broken || !ends_right) report_.damage.push_back({log_->circle, log_->id, log_->next_seq, place_.seq});
    log_.reset();
}

}  // namespace ladderline::store
