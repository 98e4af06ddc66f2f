//! Every kind of problem there is, in one place. The pages under `/problems` are made from it.

use axum::http::StatusCode;

macro_rules! catalogue {
    ($($name:ident, $slug:literal, $status:ident, $title:literal, $explanation:literal, $remedy:literal;)+) => {
        /// A kind of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Slug {
            $(#[doc = $title] $name,)+
        }

        impl Slug {
            /// Every kind, by status.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The last part of its address, `/problems/{slug}`.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$name => $slug),+ }
            }

            /// The status it is answered with.
            pub const fn status(self) -> StatusCode {
                match self { $(Self::$name => StatusCode::$status),+ }
            }

            /// The kind in a few words.
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title),+ }
            }

            /// What has happened.
            pub const fn explanation(self) -> &'static str {
                match self { $(Self::$name => $explanation),+ }
            }

            /// What the caller can do about it.
            pub const fn remedy(self) -> &'static str {
                match self { $(Self::$name => $remedy),+ }
            }
        }
    };
}

catalogue! {
    MalformedBody, "malformed-body", BAD_REQUEST,
        "The body cannot be read",
        "The body is not JSON text in UTF-8, is empty, or broke off.",
        "Mend the text at the line and column that the detail names. Numbers have a point, not a comma; texts stand in double quotes.";
    InvalidQuery, "invalid-query", BAD_REQUEST,
        "The address has query parameters that cannot be used",
        "A query parameter is unknown, missing, given twice, or not of its kind.",
        "Look at `errors`: each names a `parameter`. The OpenAPI document lists the parameters of every call.";
    InvalidHeader, "invalid-header", BAD_REQUEST,
        "A header field cannot be used",
        "A header field of the request is not written as it must be.",
        "Write the field as the detail says.";
    MissingKey, "missing-key", UNAUTHORIZED,
        "A key is needed",
        "This address answers only to a key, and the request carries none.",
        "Send `Authorization: Bearer KEY`, or HTTP Basic with any name and the key as password. Whoever runs the server makes keys with `offtake keys create`.";
    InvalidKey, "invalid-key", UNAUTHORIZED,
        "The key is not known",
        "The request carries a key, but it is not one of this server's, or it was revoked.",
        "Check that the whole key was copied, and nothing else. If it was revoked, ask for a new one.";
    MissingScope, "missing-scope", FORBIDDEN,
        "The key may not do this",
        "The key is good, but it does not carry the scope this call needs.",
        "Use a key with the scope that the detail names. The scope `admin` includes the others.";
    NotFound, "not-found", NOT_FOUND,
        "There is no such thing",
        "The address is well formed, but nothing goes by that name.",
        "Check the name. The list above it shows what there is.";
    NoSuchPath, "no-such-path", NOT_FOUND,
        "There is no such address",
        "This server has nothing at that path.",
        "Check the path; it has no trailing slash and begins with `/v1` for everything about manifolds. `/docs` lists every address.";
    MethodNotAllowed, "method-not-allowed", METHOD_NOT_ALLOWED,
        "The address does not take this method",
        "The path exists, but not with that HTTP method.",
        "Use one of the methods in the `Allow` field of the answer.";
    NotAcceptable, "not-acceptable", NOT_ACCEPTABLE,
        "The answer cannot be given in that form",
        "Neither the `Accept` field nor `?format=` names a form this address can answer in.",
        "Ask for one of the forms that the detail lists, or send no `Accept`.";
    RequestTimeout, "request-timeout", REQUEST_TIMEOUT,
        "The request took too long",
        "The request was not received and answered within the time allowed.",
        "Try again. If it happens again, send fewer manifolds at a time.";
    Conflict, "conflict", CONFLICT,
        "That would contradict what is stored",
        "Something stored stands against the request, such as a name that is taken.",
        "Look at what the detail names, then change the request.";
    WrongState, "wrong-state", CONFLICT,
        "That step is not open from this state",
        "The thing exists, but its state does not allow this step.",
        "Fetch it again and look at its `state`; the detail says which steps are open.";
    RequestRunning, "request-running", CONFLICT,
        "The same request is still running",
        "A request with the same `Idempotency-Key` has begun and is not finished.",
        "Wait as long as `Retry-After` says and send the same request again; it will get the first one's answer.";
    LinkEnded, "link-ended", GONE,
        "The link opens nothing any more",
        "The address holds a token that was good once: its last day has passed, or the shop has revoked it.",
        "Ask whoever gave you the address for a new one; the shop makes it with `POST /v1/quotes/{number}/links` or `POST /v1/links`.";
    Stale, "stale", PRECONDITION_FAILED,
        "It has changed since you read it",
        "The `If-Match` field names a version that is no longer the current one.",
        "Fetch it again, look at what changed, and send your change with the new `ETag`.";
    BodyTooLarge, "body-too-large", PAYLOAD_TOO_LARGE,
        "The body is too large",
        "The body has more bytes than this address takes: 1 MiB, or 10 MiB for uploaded sheets.",
        "Send the work in several requests.";
    AddressTooLong, "address-too-long", URI_TOO_LONG,
        "The address is too long",
        "Path and query of the request are longer than this server reads.",
        "Ask in several requests, or send what is long in a body.";
    UnsupportedMediaType, "unsupported-media-type", UNSUPPORTED_MEDIA_TYPE,
        "The body is of a type this address does not read",
        "The `Content-Type` is missing or is not one of those this address reads.",
        "Send one of the types in the `Accept` field of the answer; for JSON that is `Content-Type: application/json`.";
    InvalidBody, "invalid-body", UNPROCESSABLE_ENTITY,
        "The body does not say what this call needs",
        "The body is JSON, but fields are missing, unknown, of the wrong type or out of range.",
        "Look at `errors`: every fault is there with a pointer to its place and what to write instead.";
    Unprocessable, "unprocessable", UNPROCESSABLE_ENTITY,
        "The request is well formed but cannot be carried out",
        "Every field can be read, but together they ask for something that cannot be done.",
        "Look at the detail and at `errors`, change what they name, and send it again.";
    KeyReused, "idempotency-key-reused", UNPROCESSABLE_ENTITY,
        "The Idempotency-Key belongs to another request",
        "This `Idempotency-Key` was already used for the same call with a different body.",
        "To repeat the first request, send exactly its body. For a new or corrected request, use a new key.";
    VersionRequired, "version-required", PRECONDITION_REQUIRED,
        "Say which version you are changing",
        "A change needs an `If-Match` field, so that nobody overwrites what another has changed meanwhile.",
        "Fetch the thing, and send the `ETag` of that answer as `If-Match`.";
    TooManyRequests, "too-many-requests", TOO_MANY_REQUESTS,
        "Too many requests with this key",
        "The key has used up its share of requests for now.",
        "Wait as long as `Retry-After` says. Bulk calls take up to 500 manifolds in one request.";
    HeaderTooLarge, "header-too-large", REQUEST_HEADER_FIELDS_TOO_LARGE,
        "The header fields are too large",
        "The header fields of the request are larger together than this server reads.",
        "Leave out what is not needed, such as the cookies of other services.";
    InternalError, "internal-error", INTERNAL_SERVER_ERROR,
        "The server failed",
        "Something went wrong that is not your doing. It has been logged.",
        "Try again with the same `Idempotency-Key`. If it happens again, tell whoever runs the server the `request_id`.";
    Busy, "busy", SERVICE_UNAVAILABLE,
        "The server has too much to do",
        "More heavy work is waiting than the server can do in reasonable time.",
        "Wait as long as `Retry-After` says and send the request again.";
    NotReady, "not-ready", SERVICE_UNAVAILABLE,
        "The server is not ready",
        "Something the server depends on, such as its database, does not answer.",
        "Wait as long as `Retry-After` says. Whoever runs the server finds the cause in its log.";
}
