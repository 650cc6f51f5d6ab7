// Statements of one connection, prepared once and reused.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>

namespace plumbmark::store {

/// Throws SQLite::Exception throughout. Not shared between threads.
class Sql {
  public:
    explicit Sql(SQLite::Database& db) : db_(db) {}

    /// Runs a statement that gives no rows.
    template <class... Values>
    void run(const std::string& text, const Values&... values) {
        const Use use = prepared(text, values...);
        use.statement.exec();
    }

    /// Calls 'each' with the statement for every row.
    template <class Each, class... Values>
    void rows(const std::string& text, const Each& each, const Values&... values) {
        const Use use = prepared(text, values...);
        while (use.statement.executeStep())
            each(use.statement);
    }

  private:
    // Takes the statement back to its start, so that it holds no lock when it is not in use.
    struct Use {
        SQLite::Statement& statement;
        explicit Use(SQLite::Statement& used) : statement(used) {}
        Use(const Use&) = delete;
        Use& operator=(const Use&) = delete;
        ~Use() { statement.tryReset(); }
    };

    template <class... Values>
    Use prepared(const std::string& text, const Values&... values) {
        std::unique_ptr<SQLite::Statement>& statement = statements_[text];
        if (!statement) statement = std::make_unique<SQLite::Statement>(db_, text);
        statement->tryReset();
        statement->clearBindings();
        int index = 0;
        (bind(*statement, ++index, values), ...);
        return Use(*statement);
    }

    static void bind(SQLite::Statement& statement, int index, std::int64_t value) {
        statement.bind(index, value);
    }
    static void bind(SQLite::Statement& statement, int index, bool value) {
        statement.bind(index, value ? 1 : 0);
    }
    static void bind(SQLite::Statement& statement, int index, double value) { statement.bind(index, value); }
    static void bind(SQLite::Statement& statement, int index, const std::string& value) {
        statement.bind(index, value);
    }
    template <class T>
    static void bind(SQLite::Statement& statement, int index, const std::optional<T>& value) {
        if (value)
            bind(statement, index, *value);
        else
            statement.bind(index);
    }

    SQLite::Database& db_;
    std::unordered_map<std::string, std::unique_ptr<SQLite::Statement>> statements_;
};

}  // namespace plumbmark::store
