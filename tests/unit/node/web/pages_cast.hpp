#pragma once
// A club of three with a store each, and their pages answered without a socket.

#include <doctest/doctest.h>

#include "node/web/pages/pages.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/page_forms.hpp"

namespace ladderline::test {

// The pages of one person's node.
class PagesOf {
public:
    explicit PagesOf(MemberNode& member, node::web::NodeSide side = {}) : member_(member) {
        node::web::add_pages(router_, member.context, std::move(side));
    }

    // `address` with its query, as a browser asks for it.
    node::web::Response get(const std::string& address) const { return router_.answer(asked(address)); }
    std::string body(const std::string& address) const { return get(address).body; }

    node::web::Response send(const PageForm& form) const { return post(form.action, form.values); }
    node::web::Response send(PageForm form, const std::string& button, const std::string& value) const {
        form.set(button, value);
        return send(form);
    }
    node::web::Response post(const std::string& address,
                             const std::vector<std::pair<std::string, std::string>>& values) const {
        node::web::Request request = asked(address);
        request.method = node::web::Method::post;
        for (const auto& [name, value] : values) request.form.add(name, value);
        return router_.answer(request);
    }
    // The form with a file in the field whose name ends like `field`.
    node::web::Response send_file(const PageForm& form, const std::string& field, std::string bytes) const {
        node::web::Request request = asked(form.action);
        request.method = node::web::Method::post;
        for (const auto& [name, value] : form.values) request.form.add(name, value);
        request.files.push_back({form.named(field), "chosen file", std::move(bytes)});
        return router_.answer(request);
    }
    const node::web::Router& router() const { return router_; }
    std::int64_t events() const { return member_.events(); }
    // The page that a form's answer leads to.
    std::string follow(const node::web::Response& response) const {
        if (response.status != 303) throw std::runtime_error("no redirect: " + response.body);
        return body(response.header_value("Location"));
    }
    // The form of that page whose words hold all of `words`; the one sent to `action`.
    PageForm form(const std::string& address, std::string_view action, std::string_view words = "") const {
        const std::string page = body(address);
        for (PageForm& found : forms_of(page)) {
            if (found.action == action && found.words.find(words) != std::string::npos) return std::move(found);
        }
        throw std::runtime_error("no form for " + std::string(action) + " on " + address);
    }

private:
    static node::web::Request asked(const std::string& address) {
        node::web::Request request;
        const std::size_t mark = std::min(address.find('?'), address.size());
        request.path = must(node::web::percent_decode(address.substr(0, mark), false));
        if (mark < address.size()) request.query = must(node::web::parse_urlencoded(address.substr(mark + 1)));
        request.csrf = std::string(64, '5');
        return request;
    }

    MemberNode& member_;
    node::web::Router router_;
};

inline bool has(const std::string& page, std::string_view words) {
    return page.find(words) != std::string::npos;
}

struct Cast {
    // `on_path`: the mentor has a seat on the newcomer's path already.
    explicit Cast(bool on_path = true) {
        using protocol::CircleKind;
        using protocol::MemberRole;
        begin_as(officer, "Olga", MemberRole::officer, false, "Example Lake Radio Club");
        begin_as(mentor, "Marten", MemberRole::mentor);
        begin_as(newcomer, "Nadia", MemberRole::newcomer);
        join(officer, mentor, "Marten", CircleKind::club, MemberRole::mentor);
        join(officer, newcomer, "Nadia", CircleKind::club, MemberRole::newcomer);
        if (on_path) join(newcomer, mentor, "Marten", CircleKind::path, MemberRole::mentor);
        everybody_syncs();
    }

    void everybody_syncs() {
        sync(officer, mentor);
        sync(officer, newcomer);
        sync(newcomer, mentor);
        sync(officer, mentor);
    }
    std::string bench() { return "/people/" + to_hex(newcomer.id().view()); }
    domain::ItemState state(const std::string& item, MemberNode& on) {
        const node::WayView view = must(node::way(on.context, &on == &newcomer ? "" : "Nadia"));
        return domain::state_of(view.states, must(domain::parse_item_id(item)));
    }
    void set_zone(MemberNode& member, const std::string& zone) {
        node::CardRequest request;
        request.zone = zone;
        must(node::change_card(member.context, request));
    }

    SetClock clock;
    MemberNode officer{clock, 11};
    MemberNode mentor{clock, 12};
    MemberNode newcomer{clock, 13};
    PagesOf officers{officer};
    PagesOf mentors{mentor};
    PagesOf newcomers{newcomer};
};

}  // namespace ladderline::test
