#include "report/internal/pdf_finish.h"

// The C interface: the C++ headers of qpdf 11 do not compile with clang 14 as C++20.
#include <qpdf/qpdf-c.h>

#include "base/worded.h"
#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

/// A PDF in qpdf's hands. Handles of its objects live as long as it does.
class Pdf {
  public:
    Pdf() : data_(qpdf_init()) {
        qpdf_silence_errors(data_);
        qpdf_set_suppress_warnings(data_, QPDF_TRUE);
    }
    ~Pdf() { qpdf_cleanup(&data_); }
    Pdf(const Pdf&) = delete;
    Pdf& operator=(const Pdf&) = delete;

    [[nodiscard]] qpdf_data get() const { return data_; }
    void put(qpdf_oh dictionary, const char* key, qpdf_oh value) const {
        qpdf_oh_replace_key(data_, dictionary, key, value);
    }
    /// A dictionary with one thing in it, which is true.
    [[nodiscard]] qpdf_oh saying(const char* key) const {
        const qpdf_oh dictionary = qpdf_oh_new_dictionary(data_);
        put(dictionary, key, qpdf_oh_new_bool(data_, QPDF_TRUE));
        return dictionary;
    }

  private:
    qpdf_data data_;
};

/// Gives each Figure of the structure what it shows. Depth first is the order of reading.
class Describer {
  public:
    Describer(const Pdf& pdf, const std::vector<std::string>& pictures) : pdf_(pdf), pictures_(pictures) {}

    void walk(qpdf_oh element) {
        if (!qpdf_oh_is_dictionary(pdf_.get(), element)) return;
        const qpdf_oh role = qpdf_oh_get_key(pdf_.get(), element, "/S");
        if (qpdf_oh_is_name_and_equals(pdf_.get(), role, "/Figure") && next_ < pictures_.size()) {
            const std::string shows = unisolated(printable(pictures_[next_++]));
            pdf_.put(element, "/Alt", qpdf_oh_new_unicode_string(pdf_.get(), shows.c_str()));
        }
        const qpdf_oh kids = qpdf_oh_get_key(pdf_.get(), element, "/K");
        if (!qpdf_oh_is_array(pdf_.get(), kids)) return walk(kids);
        for (int i = 0; i < qpdf_oh_get_array_n_items(pdf_.get(), kids); ++i)
            walk(qpdf_oh_get_array_item(pdf_.get(), kids, i));
    }

  private:
    const Pdf& pdf_;
    const std::vector<std::string>& pictures_;
    std::size_t next_ = 0;
};

void complete(const Pdf& pdf, const std::vector<std::string>& pictures) {
    const qpdf_oh root = qpdf_get_root(pdf.get());
    pdf.put(root, "/Lang", qpdf_oh_new_string(pdf.get(), "en"));
    pdf.put(root, "/ViewerPreferences", pdf.saying("/DisplayDocTitle"));
    const qpdf_oh info = qpdf_oh_get_key(pdf.get(), qpdf_get_trailer(pdf.get()), "/Info");
    if (qpdf_oh_is_dictionary(pdf.get(), info))
        for (const char* time : {"/CreationDate", "/ModDate"})
            qpdf_oh_remove_key(pdf.get(), info, time);
    const qpdf_oh structure = qpdf_oh_get_key(pdf.get(), root, "/StructTreeRoot");
    if (!qpdf_oh_is_dictionary(pdf.get(), structure)) return;
    pdf.put(root, "/MarkInfo", pdf.saying("/Marked"));
    Describer(pdf, pictures).walk(structure);
}

bool failed(QPDF_ERROR_CODE code) {
    return (code & QPDF_ERRORS) != 0;
}

base::Error problem_of(const Pdf& pdf) {
    qpdf_error const error = qpdf_get_error(pdf.get());
    const base::Sentence words =
        error != nullptr ? qpdf_get_error_full_text(pdf.get(), error) : base::worded("no reason");
    return {base::Category::io,
            base::worded("The PDF could not be completed ({}); the page (HTML) says the same.", words),
            "PDF"};
}

}  // namespace

base::Result<std::string> finish_pdf(const std::string& bytes, const std::vector<std::string>& pictures) {
    const Pdf pdf;
    if (failed(qpdf_read_memory(pdf.get(), "sheet", bytes.data(), bytes.size(), nullptr)))
        return problem_of(pdf);
    complete(pdf, pictures);
    if (qpdf_has_error(pdf.get()) || failed(qpdf_init_write_memory(pdf.get()))) return problem_of(pdf);
    // The identifier is worked out from what the file holds, not from the clock (ISO 32000-1, 14.4).
    qpdf_set_deterministic_ID(pdf.get(), QPDF_TRUE);
    qpdf_set_object_stream_mode(pdf.get(), qpdf_o_disable);
    if (failed(qpdf_write(pdf.get()))) return problem_of(pdf);
    return std::string(reinterpret_cast<const char*>(qpdf_get_buffer(pdf.get())),
                       qpdf_get_buffer_length(pdf.get()));
}

}  // namespace plumbmark::report::paper
