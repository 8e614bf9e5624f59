#include <algorithm>
#include <tuple>

#include "node/domain/licence/term.hpp"

namespace ladderline::domain {
namespace {

// Collects what is running. A soft line is left out while the person rests.
class Running {
public:
    Running(const KnownDates& known, const Clocks& clocks, Day today) : known_(known), clocks_(clocks), today_(today) {}

    std::vector<DueLine> lines() && {
        exam();
        certificate();
        fee();
        grant();
        contacts();
        upgrade();
        pairing();
        term();
        consent();
        std::sort(out_.begin(), out_.end(),
                  [](const DueLine& a, const DueLine& b) { return std::tie(a.day, a.what) < std::tie(b.day, b.what); });
        return std::move(out_);
    }

private:
    void hard(Due what, Day day, std::string sentence) { add(what, day, true, std::move(sentence)); }
    void soft(Due what, Day day, std::string sentence) {
        if (!known_.resting) add(what, day, false, std::move(sentence));
    }
    void add(Due what, Day day, bool is_hard, std::string sentence) {
        out_.push_back({what, day, days_between(today_, day), is_hard, std::move(sentence)});
    }
    bool over(Day day) const { return today_ > day; }

    bool first_pending() const { return first_licence_pending(known_, clocks_); }
    bool upgrade_pending() const { return known_.exam_passed && known_.licensed_at_exam && !known_.class_visible; }
    bool had_contact() const { return known_.first_contact || known_.last_contact; }

    void exam() {
        const auto& [booked, last] = std::tie(known_.exam_booked, known_.pool_last_day);
        if (!booked || over(*booked) || (known_.exam_passed && *known_.exam_passed >= *booked)) return;
        hard(Due::exam_day, *booked, "The exam is on " + to_iso(*booked) + "; what to bring: 'ladderline exam next'.");
        if (!last || *booked <= *last) return;
        hard(Due::pool_ends, *last,
             "Your question pool ends on " + to_iso(*last) + ", before the exam on " + to_iso(*booked) +
                 "; study the edition that follows.");
    }

    // 47 CFR 97.505(b): element credit within the previous 365 days.
    void certificate() {
        if (!first_pending() && !upgrade_pending()) return;
        const Day passed = *known_.exam_passed;
        const Day safe = passed + clocks_.certificate_safe_days;
        switch (certificate_on(passed, today_, clocks_)) {
            case CertificateDay::safe:
                hard(Due::certificate_ends, safe, "The pass certificate counts until " + to_iso(safe) + ".");
                return;
            case CertificateDay::doubtful:
                hard(Due::certificate_doubtful, passed + clocks_.certificate_doubtful_days,
                     "The pass certificate is on its last day, and whether that day counts is doubtful; ask the exam "
                     "team today.");
                return;
            case CertificateDay::over:
                break;
        }
        if (over(safe)) {
            hard(Due::certificate_ends, safe,
                 "The pass certificate counted until " + to_iso(safe) + "; the element has to be passed again.");
        }
    }

    void fee() {
        if (!known_.fee_notice || known_.fee_paid || known_.licensed_at_exam) return;
        if (known_.grant && !first_pending()) return;
        const Day last = *known_.fee_notice + clocks_.fee_last_days;
        if (over(last)) {
            const auto& passed = known_.exam_passed;
            if (passed && over(*passed + clocks_.certificate_doubtful_days)) return;  // nothing is left to file
            hard(Due::fee_last_day, last,
                 "The fee's last day was " + to_iso(last) +
                     "; if it was not paid, ask the exam team's coordinator to file again with the certificate.");
            return;
        }
        hard(Due::fee_last_day, last,
             "Pay the regulator's fee by " + to_iso(last) + "; unpaid after that, the application is dismissed.");
        for (const std::int32_t days :
             {clocks_.fee_reminder_1_days, clocks_.fee_reminder_2_days, clocks_.fee_reminder_3_days}) {
            const Day reminder = *known_.fee_notice + days;
            if (over(reminder)) continue;
            soft(Due::fee_reminder, reminder,
                 "A reminder of the fee: the notice came on " + to_iso(*known_.fee_notice) + ", the last day is " +
                     to_iso(last) + ".");
            return;
        }
    }

    void grant() {
        if (first_pending()) {
            const Day expected = *known_.exam_passed + clocks_.grant_expected_days;
            soft(Due::grant_expected, expected,
                 over(expected) ? "The call sign was expected by " + to_iso(expected) +
                                      "; look at the fee first, then ask the exam team whether the results were filed."
                                : "The call sign is expected by " + to_iso(expected) + ".");
        }
        if (!known_.grant || known_.official_copy_saved) return;
        const Day link = *known_.grant + clocks_.official_copy_days;
        if (over(link)) return;
        soft(Due::official_copy, link,
             "Save and print the official copy; the e-mailed link works until about " + to_iso(link) + ".");
    }

    // The grant known goes on with a licence held before, so that it begins nobody's way on the air.
    bool is_renewed() const {
        if (known_.licensed_at_exam && *known_.exam_passed < *known_.grant) return true;
        if (!known_.class_since || *known_.class_since >= *known_.grant) return false;
        const bool passed_anew =
            known_.exam_passed && !known_.licensed_at_exam && *known_.exam_passed > *known_.class_since;
        return !passed_anew;
    }

    void contacts() {
        const bool must_not_send = licence_ended(known_, clocks_, today_);
        if (known_.grant && !had_contact() && !is_renewed() && !must_not_send) {
            const Day target = *known_.grant + clocks_.first_contact_target_days;
            const Day alarm = *known_.grant + clocks_.first_contact_alarm_days;
            if (over(target)) {
                soft(Due::first_contact_alarm, alarm,
                     "No contact yet since the call sign came on " + to_iso(*known_.grant) +
                         "; arrange one with a named person.");
            } else {
                soft(Due::first_contact_target, target, "A first contact by " + to_iso(target) + " is a fair aim.");
            }
        }
        const auto& [first, last] = std::tie(known_.first_contact, known_.last_contact);
        const bool only_one = first && !known_.second_contact && (!last || *last <= *first);
        if (only_one && !over(*first + clocks_.quiet_days)) {
            const Day second = *first + clocks_.second_contact_days;
            soft(Due::second_contact, second, "A second contact by " + to_iso(second) + " keeps the first warm.");
        }
        const std::optional<Day> latest = std::max({first, known_.second_contact, last});
        if (!latest) return;
        const Day quiet = *latest + clocks_.quiet_days;
        const auto& touch = known_.last_mentor_touch;
        if (touch && *touch >= quiet) return;  // that was the note
        soft(Due::quiet_note, quiet,
             over(quiet) ? "No contact known since " + to_iso(*latest) + "; one kind note, then leave it in peace."
                         : "If nothing is heard by " + to_iso(quiet) + ", one kind note.");
    }

    // 47 CFR 97.9(b): until the register shows the class, or 365 days have passed, whichever is first.
    void upgrade() {
        if (licence_ended(known_, clocks_, today_)) return;  // silent until it is renewed, with whatever rights
        if (upgrade_pending()) {
            const Day last = *known_.exam_passed + clocks_.temporary_authority_days;
            hard(Due::temporary_identifier_ends, last,
                 over(last) ? "The temporary authority ended on " + to_iso(last) +
                                  "; use only what the class in the register allows."
                            : "New privileges are used with the temporary identifier until the register shows the new "
                              "class, at the latest until " +
                                  to_iso(last) + ".");
        }
        if (!known_.exam_passed || !known_.licensed_at_exam || known_.new_privilege_used) return;
        const Day aim = *known_.exam_passed + clocks_.new_privilege_days;
        if (!over(aim)) soft(Due::new_privilege, aim, "Try one of the new privileges by " + to_iso(aim) + ".");
    }

    void pairing() {
        if (!known_.pairing_start) return;
        const Day touch = next_touch(*known_.pairing_start, known_.last_mentor_touch, clocks_);
        soft(Due::mentor_touch, touch, "Mentor and newcomer are in touch by " + to_iso(touch) + ".");
    }

    // 47 CFR 97.25 (term), 97.21(a)(3) and 1.949 (window), 97.21(b) (grace, without transmitting).
    void term() {
        const auto known_end = expiry_of(known_, clocks_);
        if (!known_end) return;
        const Day expiry = *known_end;
        const Day opens = renewal_opens(expiry, clocks_);
        const Day grace = domain::grace_ends(expiry, clocks_);
        if (today_ < opens) {
            hard(Due::renewal_opens, opens, "The licence may be renewed from " + to_iso(opens) + ".");
        } else if (!over(expiry)) {
            hard(Due::licence_ends, expiry, "Renew the licence by " + to_iso(expiry) + ".");
        } else if (!over(grace)) {
            hard(Due::grace_ends, grace,
                 "The licence ended on " + to_iso(expiry) +
                     ": do not transmit until it is renewed, which is possible "
                     "until " +
                     to_iso(grace) + ".");
        } else {
            hard(Due::grace_ends, grace,
                 "The licence could be renewed until " + to_iso(grace) +
                     "; do not transmit, and ask an exam team which passes still count.");
        }
    }

    // Shown only when near: people renew it, and early reminders go unread.
    void consent() {
        const auto& until = known_.consent_until;
        if (!until || days_between(today_, *until) > clocks_.consent_ahead_days) return;
        const std::string verb = over(*until) ? " ran until " : " runs until ";
        hard(Due::consent_ends, *until, "The guardian's consent" + verb + to_iso(*until) + "; renew it, or end it.");
    }

    const KnownDates& known_;
    const Clocks& clocks_;
    Day today_;
    std::vector<DueLine> out_;
};

}  // namespace

bool is_for_mentor(Due what) {
    return what == Due::mentor_touch || what == Due::quiet_note;
}

std::vector<DueLine> due(const KnownDates& known, const Clocks& clocks, Day today) {
    return Running(known, clocks, today).lines();
}

}  // namespace ladderline::domain
