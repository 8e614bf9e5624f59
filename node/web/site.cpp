#include "node/web/site.hpp"

#include <exception>

#include "node/web/page.hpp"
#include "node/web/phone/desk_only.hpp"
#include "node/web/static_files.hpp"

namespace ladderline::node::web {

Site::Site(Guard& guard, const Router& router, LiveHub& hub, Clock& clock)
    : guard_(guard), router_(router), hub_(hub), clock_(clock) {}

Response Site::answer_unguarded(const Request& request) {
    const bool looked = request.method == Method::get;
    if (looked && request.path.starts_with("/static/")) return static_file(request);
    if (looked && request.path == "/live") return hub_.answer(request);
    if (!looked && request.path == lock_address.text()) {
        guard_.lock();
        if (lock_) lock_();
        return sentence_page(200, "Locked",
                             "These pages are shut in every browser. 'ladderline pages' in a terminal gives the "
                             "address that opens them again; the program itself goes on.");
    }
    if (!looked && request.on_phone) {
        const PhoneRule rule = phone_rule(request.path);
        if (!rule.may) return sentence_page(403, "Not from a telephone", on_machine_sentence(rule));
    }
    return router_.answer(request);
}

Response Site::answer(Request request) {
    Response out;
    std::optional<Response> stopped = guard_.admit(request, clock_.monotonic());
    if (stopped) {
        out = std::move(*stopped);
    } else {
        // Taken before the page reads anything: news during the reading is then told once too often, never missed.
        request.live_seen = hub_.number();
        try {
            out = answer_unguarded(request);
        } catch (const std::exception& fault) {
            if (fault_) fault_(request.path, fault.what());
            out = sentence_page(500, "That went wrong",
                                "Something inside the program failed while it made this page. What was saved before is "
                                "kept; look again, and tell whoever keeps the program if it comes back.");
        }
    }
    add_safety_headers(out);
    return out;
}

}  // namespace ladderline::node::web
