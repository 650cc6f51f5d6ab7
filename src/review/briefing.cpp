#include "review/briefing.h"

#include "course/read.h"
#include "meet/who_ran.h"
#include "review/documents.h"

namespace plumbmark::review {
namespace {

using base::Category;
using base::Error;
using base::Result;

/// The name of the one with this key; the key itself where there is none.
template <class List>
std::string name_of(const List& list, const std::string& key) {
    for (const auto& one : list)
        if (one.key == key) return one.name;
    return key;
}

}  // namespace

Result<report::BriefingDocument> briefing_of_book(const std::string& text, const std::string& file,
                                                  const std::string& division, const std::string& lane) {
    const Result<course::CourseBook> whole = course::read_book_or_error(text, file);
    if (!whole) return whole.error();
    const Result<course::CourseBook> own = course::run_book(*whole, division, lane);
    if (!own) return Error{own.error().category, own.error().sentence, file};
    report::BriefingDocument document = report::briefing_of(*own);
    document.program_version = program_version();
    document.division = name_of(whole->divisions, division);
    document.lane = name_of(whole->lanes, lane);
    return document;
}

Result<report::BriefingDocument> briefing_of_meet(const meet::State& state, const std::string& division,
                                                  const std::string& lane) {
    if (state.books().empty())
        return Error{Category::not_found,
                     "The meet has no course book yet; take one in with plumbmark course MEETFILE BOOK.", ""};
    const meet::BookRevision& book = state.books().rbegin()->second;
    const meet::Division* own = meet::division_with_key(state, division);
    Result<report::BriefingDocument> document =
        briefing_of_book(book.text, book.file_name, own != nullptr ? own->course : division, lane);
    if (!document) return document;
    if (own != nullptr) document->division = own->name.empty() ? own->key : own->name;
    document->meet_name = state.info().name;
    document->venue = state.info().venue;
    document->date = state.info().date;
    document->appeals = report::appeal_sentences(state.rules().appeals);
    return document;
}

}  // namespace plumbmark::review
