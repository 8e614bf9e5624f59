// Over a whole run of a test binary: the vault turns nothing down, except in tests that say so in their description.

#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <string>

#include "store/vault/sealed_file.hpp"
#include "tests/support/store/provokes_refusals.hpp"

namespace {

using namespace ladderline;

class RefusalWatch : public doctest::IReporter {
public:
    explicit RefusalWatch(const doctest::ContextOptions&) {}

    void test_case_start(const doctest::TestCaseData& test) override {
        allowed_ = test.m_description != nullptr && std::string_view(test.m_description) == test::provokes_refusals;
        name_ = test.m_name;
        before_ = store::vault::refusals;
    }
    void test_case_end(const doctest::CurrentTestCaseStats&) override {
        const std::int64_t refused = store::vault::refusals - before_;
        if (refused == 0 || allowed_) return;
        std::printf("ERROR: the vault refused %lld calls of SQLite's in normal use: %s\n",
                    static_cast<long long>(refused), name_.c_str());
        unexpected_ += refused;
    }
    void test_run_end(const doctest::TestRunStats& stats) override {
        if (stats.numTestCasesPassingFilters == 0) return;
        std::printf("refusals of the vault in normal use: %lld\n", static_cast<long long>(unexpected_));
        std::fflush(stdout);
        // A reporter cannot fail a run in any other way.
        if (unexpected_ > 0) std::_Exit(1);
    }
    void report_query(const doctest::QueryData&) override {}
    void test_run_start() override {}
    void test_case_reenter(const doctest::TestCaseData&) override {}
    void test_case_exception(const doctest::TestCaseException&) override {}
    void subcase_start(const doctest::SubcaseSignature&) override {}
    void subcase_end() override {}
    void log_assert(const doctest::AssertData&) override {}
    void log_message(const doctest::MessageData&) override {}
    void test_case_skipped(const doctest::TestCaseData&) override {}

private:
    std::string name_;
    bool allowed_ = false;
    std::int64_t before_ = 0;
    std::int64_t unexpected_ = 0;
};

DOCTEST_REGISTER_LISTENER("refusals", 1, RefusalWatch);

}  // namespace
