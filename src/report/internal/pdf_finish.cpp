#include "report/internal/pdf_finish.h"

#include <fmt/format.h>

#include <exception>

// qpdf 11 asks which of its pointers are meant: the standard library's.
#define POINTERHOLDER_TRANSITION 4
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFWriter.hh>

#include "report/internal/plain.h"

namespace plumbmark::report::paper {
namespace {

/// Gives each Figure of the structure what it shows. Depth first is the order of reading.
class Describer {
  public:
    explicit Describer(const std::vector<std::string>& pictures) : pictures_(pictures) {}

    void walk(QPDFObjectHandle element) {
        if (!element.isDictionary()) return;
        QPDFObjectHandle role = element.getKey("/S");
        if (role.isName() && role.getName() == "/Figure" && next_ < pictures_.size())
            element.replaceKey("/Alt",
                               QPDFObjectHandle::newUnicodeString(unisolated(printable(pictures_[next_++]))));
        QPDFObjectHandle kids = element.getKey("/K");
        if (!kids.isArray()) return walk(kids);
        for (int i = 0; i < kids.getArrayNItems(); ++i)
            walk(kids.getArrayItem(i));
    }

  private:
    const std::vector<std::string>& pictures_;
    std::size_t next_ = 0;
};

void complete(QPDF& pdf, const std::vector<std::string>& pictures) {
    QPDFObjectHandle root = pdf.getRoot();
    root.replaceKey("/Lang", QPDFObjectHandle::newString("en"));
    QPDFObjectHandle preferences = QPDFObjectHandle::newDictionary();
    preferences.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(true));
    root.replaceKey("/ViewerPreferences", preferences);
    QPDFObjectHandle info = pdf.getTrailer().getKey("/Info");
    if (info.isDictionary())
        for (const char* time : {"/CreationDate", "/ModDate"})
            info.removeKey(time);
    QPDFObjectHandle structure = root.getKey("/StructTreeRoot");
    if (!structure.isDictionary()) return;
    QPDFObjectHandle tagged = QPDFObjectHandle::newDictionary();
    tagged.replaceKey("/Marked", QPDFObjectHandle::newBool(true));
    root.replaceKey("/MarkInfo", tagged);
    Describer(pictures).walk(structure);
}

}  // namespace

base::Result<std::string> finish_pdf(const std::string& bytes, const std::vector<std::string>& pictures) {
    try {
        QPDF pdf;
        pdf.setSuppressWarnings(true);
        pdf.processMemoryFile("sheet", bytes.data(), bytes.size());
        complete(pdf, pictures);
        QPDFWriter writer(pdf);
        writer.setOutputMemory();
        // The identifier is worked out from what the file holds, not from the clock (ISO 32000-1, 14.4).
        writer.setDeterministicID(true);
        writer.setObjectStreamMode(qpdf_o_disable);
        writer.write();
        const auto buffer = writer.getBufferSharedPointer();
        return std::string(reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize());
    } catch (const std::exception& problem) {
        return base::Error{base::Category::io,
                           fmt::format("The PDF could not be completed ({}); the page (HTML) says the same.",
                                       problem.what()),
                           "PDF"};
    }
}

}  // namespace plumbmark::report::paper
