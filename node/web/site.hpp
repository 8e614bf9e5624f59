#pragma once
// The order in which a request is looked at: guard, then embedded files, the live stream, the pages. No socket.

#include <functional>
#include <string>

#include "node/web/guard.hpp"
#include "node/web/live.hpp"
#include "node/web/request.hpp"
#include "node/web/router.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web {

class Site {
public:
    // Told what() of an exception that a page let out; the person sees a 500 page without it.
    using FaultListener = std::function<void(const std::string& path, const std::string& what)>;

    // All four must outlive the site.
    Site(Guard& guard, const Router& router, LiveHub& hub, Clock& clock);
    void on_fault(FaultListener listener) { fault_ = std::move(listener); }
    // Told after a form has locked the pages of this site.
    void on_lock(std::function<void()> listener) { lock_ = std::move(listener); }

    // Always with the safety headers.
    Response answer(Request request);
    Handler handler() {
        return [this](const Request& request) { return answer(request); };
    }

private:
    Response answer_unguarded(const Request& request);

    Guard& guard_;
    const Router& router_;
    LiveHub& hub_;
    Clock& clock_;
    FaultListener fault_;
    std::function<void()> lock_;
};

}  // namespace ladderline::node::web
