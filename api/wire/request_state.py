"""Every entry that the layers of the service pass to each other in `scope["state"]`, in one place.

| entry | value | set by | read by |
|---|---|---|---|
| `REQUEST_ID` | the request id, as text | `RequestLog` | whatever logs about a request |
| `TRACE_ID` | the trace id of a valid `traceparent`; otherwise absent | `RequestLog` | `RequestLog` |
| `KEY_NAME` | the name of the accepted key | `Access` | `RequestLog` |
| `ACCESS_TOKEN` | the key that was in the query | `Access` | pages, for their links |
| `REMOVED_TOKENS` | every `access_token` that was in the query | `RequestLog` or `Access` | `Access` |
| `ACCEPTS_GZIP` | whether a compressed answer may be sent; absent without compression | `Compression` | `api.wire` |
| `REFUSED_STATUS` | the status of a refusal that a spreadsheet cell gets as 200 | `api.wire.problems` | `RequestLog` |
"""

REQUEST_ID = "request_id"
TRACE_ID = "trace_id"
KEY_NAME = "key_name"
ACCESS_TOKEN = "access_token"  # noqa: S105 - the name of the query parameter too
REFUSED_STATUS = "refused_status"
ACCEPTS_GZIP = "accepts_gzip"
REMOVED_TOKENS = "removed_tokens"
